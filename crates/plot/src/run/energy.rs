//! Where the engine's work went, as one bar.

use bitepoint_physics::run::EnergyAccount;

use super::report::RunReport;
use crate::format::{ENERGY, SHARE, share};
use crate::palette::Ink;

use super::charts::Kind;
use crate::chart::canvas::{Anchor, Dash, Layout, Pen, draw};
use crate::chart::labels;
use crate::chart::markup::{Drawing, Hatch};

pub(super) const KIND: Kind =
    Kind { name: "energy", title: "Where the engine's work went", takeaway, alt_text, draw: draw_energy };

struct Share {
    name: &'static str,
    note: &'static str,
    energy_j: f64,
    ink: Ink,
    hatch: Hatch,
}

/// Everything that took energy, as it is stacked from the top.
fn shares(energy: &EnergyAccount) -> Vec<Share> {
    let part = |name, note, energy_j, ink, hatch| Share { name, note, energy_j, ink, hatch };
    [
        part("car's motion", "what was wanted", energy.translation_j, Ink::Blue, Hatch::Tint),
        part("engine, gearbox", "still turning", energy.engine_and_gearbox_j, Ink::Blue, Hatch::Level),
        part("wheels", "still turning", energy.wheels_j, Ink::Blue, Hatch::Points),
        part("height", "climbed", energy.height_j, Ink::Ochre, Hatch::Tint),
        part("air drag", "pushed aside", energy.aero_j, Ink::Green, Hatch::Rising),
        part("rolling", "heat in the tyres", energy.rolling_j, Ink::Green, Hatch::Points),
        part("tyre slip", "heat and rubber", energy.tyre_slip_j, Ink::Vermilion, Hatch::Rising),
        part("clutch slip", "heat in facing and flywheel", energy.clutch_j, Ink::Purple, Hatch::Falling),
        part("driveline", "heat in oil and bearings", energy.driveline_j, Ink::Slate, Hatch::Cross),
        part("shaft wind-up", "still wound up", energy.shafts_j, Ink::Slate, Hatch::Tint),
    ]
    .into_iter()
    .filter(|share| share.energy_j.is_finite() && share.energy_j > 0.0)
    .collect()
}

/// Sum of the shares, J; the engine's own kinetic energy at the start and a descent are spent beside its work.
fn total_j(energy: &EnergyAccount) -> Option<f64> {
    let total: f64 = shares(energy).iter().map(|share| share.energy_j).sum();
    (total > 1.0).then_some(total)
}

fn takeaway(report: &RunReport) -> String {
    let energy = &report.run.energy;
    let Some(total) = total_j(energy) else { return "The engine did no work worth telling.".to_owned() };
    let part = |j: f64| share(j.max(0.0) / total);
    format!(
        "Of {} spent, {} is in the car's motion at the end; air took {}, tyre slip {} and the clutch {}.",
        ENERGY.decimals(0).text(total),
        part(energy.translation_j),
        part(energy.aero_j),
        part(energy.tyre_slip_j),
        part(energy.clutch_j)
    )
}

fn alt_text(report: &RunReport) -> String {
    let list: Vec<String> = shares(&report.run.energy)
        .iter()
        .map(|share| format!("{} {}", share.name, ENERGY.text(share.energy_j)))
        .collect();
    format!("Energy spent, as one stacked bar: {}.", list.join(", "))
}

fn draw_energy(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let total = total_j(&report.run.energy)?;
    let shares = shares(&report.run.energy);
    let (top, height) = (30.0, layout.pick(300.0, 290.0));
    let (left, right) = (2.0, layout.pick(190.0, 76.0));
    Some(draw(layout, top + height + 16.0, |canvas| {
        canvas.text((2.0, 10.0), "Energy, kJ and % of all that was spent", Anchor::Start, Ink::Text);
        let mut from = top;
        let ends: Vec<(f64, f64)> = shares
            .iter()
            .map(|share| {
                let a = from;
                from += height * share.energy_j / total;
                (a, from)
            })
            .collect();
        let middles: Vec<f64> = ends.iter().map(|(a, b)| 0.5 * (a + b)).collect();
        let places = labels::spread(&middles, layout.font_px() + 5.0, top + 4.0, top + height - 4.0);
        for ((share, (a, b)), y) in shares.iter().zip(&ends).zip(places) {
            let pen = Pen::new(share.ink, Dash::Solid, 1.0);
            canvas.rect((left, *a), (right, *b), share.ink, share.hatch);
            canvas.frame((left, *a), (right, *b), pen);
            canvas.path(
                &[(right, 0.5 * (a + b)), (right + 10.0, 0.5 * (a + b)), (right + 24.0, y), (right + 28.0, y)],
                pen,
            );
            let x = right + 32.0;
            canvas.text((x, y), share.name, Anchor::Start, share.ink);
            let numbers = right + layout.pick(210.0, 194.0);
            canvas.text((numbers, y), &ENERGY.text(share.energy_j), Anchor::End, Ink::Text);
            canvas.text(
                (numbers + layout.pick(60.0, 52.0), y),
                &percent(share.energy_j / total),
                Anchor::End,
                Ink::Text,
            );
            if layout == Layout::Wide {
                canvas.text((numbers + 90.0, y), share.note, Anchor::Start, Ink::Muted);
            }
        }
    }))
}

fn percent(share: f64) -> String {
    SHARE.decimals(1).text(share)
}
