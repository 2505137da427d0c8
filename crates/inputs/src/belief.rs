//! What a known result teaches about one car: where its uncertain values lie, and in which directions they are surer.

use std::collections::HashMap;

/// A normal distribution of the deviates by which a car's values are moved: z' = mean + (1 - Σ βᵢ vᵢ vᵢᵀ) z for independent standard
/// normal z and directions v of unit length that are at right angles to each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    places: HashMap<String, usize>,
    mean: Vec<f64>,
    /// Each direction with its β: 0 leaves it as unsure as it was, 1 makes it sure.
    surer: Vec<(Vec<f64>, f64)>,
    /// What is known and what it changed, in sentences.
    pub told: Vec<String>,
}

impl Belief {
    /// A belief about the deviates of these names.
    ///
    /// # Panics
    /// If a list is not as long as the names.
    #[must_use]
    pub fn new(names: &[String], mean: Vec<f64>, surer: Vec<(Vec<f64>, f64)>) -> Self {
        assert!(
            mean.len() == names.len() && surer.iter().all(|(v, _)| v.len() == names.len()),
            "one value for each name"
        );
        let places = names.iter().enumerate().map(|(place, name)| (name.clone(), place)).collect();
        Self { places, mean, surer, told: Vec::new() }
    }

    /// The same, with what is known and what it changed in sentences.
    #[must_use]
    pub fn telling(self, told: Vec<String>) -> Self {
        Self { told, ..self }
    }

    /// Expected deviate of a name; 0 for one that the belief is not about.
    #[must_use]
    pub fn mean(&self, name: &str) -> f64 {
        self.places.get(name).map_or(0.0, |&place| self.mean[place])
    }

    /// Standard deviation of a name's deviate: 1 for one that the belief is not about.
    #[must_use]
    pub fn sd(&self, name: &str) -> f64 {
        let Some(&place) = self.places.get(name) else { return 1.0 };
        // The variance of a row of 1 - Σ β v vᵀ.
        let known: f64 = self.surer.iter().map(|(v, beta)| (2.0 * beta - beta * beta) * v[place] * v[place]).sum();
        (1.0 - known).max(0.0).sqrt()
    }

    /// All deviates of a draw, from independent standard normal ones.
    pub(crate) fn drawn(&self, normal: &dyn Fn(&str) -> f64) -> Drawn<'_> {
        let mut z = vec![0.0; self.mean.len()];
        for (name, &place) in &self.places {
            z[place] = normal(name);
        }
        let along: Vec<f64> =
            self.surer.iter().map(|(v, beta)| beta * v.iter().zip(&z).map(|(v, z)| v * z).sum::<f64>()).collect();
        for ((v, _), along) in self.surer.iter().zip(along) {
            z.iter_mut().zip(v).for_each(|(z, v)| *z -= along * v);
        }
        z.iter_mut().zip(&self.mean).for_each(|(z, mean)| *z += mean);
        Drawn { belief: self, z }
    }
}

/// Deviates of one draw.
pub(crate) struct Drawn<'a> {
    belief: &'a Belief,
    z: Vec<f64>,
}

impl Drawn<'_> {
    /// The deviate of a name, if the belief is about it.
    pub(crate) fn get(&self, name: &str) -> Option<f64> {
        self.belief.places.get(name).map(|&place| self.z[place])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sure_direction_no_longer_varies_and_others_do() {
        let names = ["a", "b"].map(str::to_owned);
        let v = vec![0.6, 0.8];
        let belief = Belief::new(&names, vec![1.2, 1.6], vec![(v.clone(), 1.0)]);
        let drawn = belief.drawn(&|name| if name == "a" { 0.7 } else { -0.4 });
        let z = [drawn.get("a").expect("a"), drawn.get("b").expect("b")];
        assert!((z[0] * v[0] + z[1] * v[1] - 2.0).abs() < 1e-12, "only the mean is left along the direction");
        assert!((-z[0] * v[1] + z[1] * v[0] - (-0.7 * 0.8 - 0.4 * 0.6)).abs() < 1e-12, "across it all is as it was");
        assert!((belief.sd("a") - 0.8).abs() < 1e-12 && (belief.sd("b") - 0.6).abs() < 1e-12);
        assert_eq!((belief.sd("c"), belief.mean("c")), (1.0, 0.0));
        assert_eq!(drawn.get("c"), None);
    }
}
