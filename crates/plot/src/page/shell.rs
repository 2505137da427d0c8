//! The frame of a page: everything that is the same on all of them.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::chart::Chart;
use crate::chart::markup::text_rules;
use crate::folder::ReportFile;
use crate::palette;

const STYLE: &str = include_str!("style.css");

/// The parts of one self-contained HTML page: no script, nothing from the network.
#[derive(Debug)]
pub(crate) struct Page<'a> {
    /// Heading of the browser's tab.
    pub(crate) title: &'a str,
    /// What stands above everything: headline, the few numbers that matter, what to mind.
    pub(crate) header: Markup,
    /// Sections, cautions among them.
    pub(crate) main: Markup,
    /// What closes it, before the command.
    pub(crate) footer: Markup,
    /// The command that makes it again; may be empty.
    pub(crate) command: &'a str,
}

impl Page<'_> {
    /// The page as text.
    pub(crate) fn render(&self) -> String {
        let style = format!("{}{}{}\n{STYLE}", palette::page_variables(), palette::inline_rules(), text_rules());
        html! {
            (DOCTYPE)
            html lang="en-GB" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    title { (self.title) }
                    style { (PreEscaped(style)) }
                }
                body {
                    (self.header)
                    main { (self.main) }
                    footer {
                        (self.footer)
                        @if !self.command.is_empty() { p { "Made by " code { (self.command) } } }
                    }
                }
            }
        }
        .into_string()
    }
}

/// Every file of a report's folder: the page and its charts.
pub(crate) fn report_files(page: &Page<'_>, charts: Vec<Chart>) -> Vec<ReportFile> {
    let mut files = vec![ReportFile { name: "index.html".to_owned(), contents: page.render() }];
    files.extend(charts.into_iter().map(|chart| ReportFile { name: chart.file_name, contents: chart.svg }));
    files
}
