//! The least squares of `fit` against the certified values of NIST's Statistical Reference Datasets (Norris, Misra1a, Thurber; data and
//! certified values from memory; a slip of memory would show, since the values are met to seven digits and more).

use bitepoint_runner::fit::least_squares::{Parameter, Problem, Rows, Solution, solve};

const NORRIS: [(f64, f64); 36] = [
    (0.1, 0.2),
    (338.8, 337.4),
    (118.1, 118.2),
    (888.0, 884.6),
    (9.2, 10.1),
    (228.1, 226.5),
    (668.5, 666.3),
    (998.5, 996.3),
    (449.1, 448.6),
    (778.9, 777.0),
    (559.2, 558.2),
    (0.3, 0.4),
    (0.1, 0.6),
    (778.1, 775.5),
    (668.8, 666.9),
    (339.3, 338.0),
    (448.9, 447.5),
    (10.8, 11.6),
    (557.7, 556.0),
    (228.3, 228.1),
    (998.0, 995.8),
    (888.8, 887.6),
    (119.6, 120.2),
    (0.3, 0.3),
    (0.6, 0.3),
    (557.6, 556.8),
    (339.3, 339.1),
    (888.0, 887.2),
    (998.5, 999.0),
    (778.9, 779.0),
    (10.2, 11.1),
    (117.6, 118.3),
    (228.9, 229.2),
    (668.4, 669.1),
    (449.2, 448.9),
    (0.2, 0.5),
];
const MISRA1A: [(f64, f64); 14] = [
    (10.07, 77.6),
    (14.73, 114.9),
    (17.94, 141.1),
    (23.93, 190.8),
    (29.61, 239.9),
    (35.18, 289.0),
    (40.02, 332.8),
    (44.82, 378.4),
    (50.76, 434.8),
    (55.05, 477.3),
    (61.01, 536.8),
    (66.40, 593.1),
    (75.47, 689.1),
    (81.78, 760.0),
];
const THURBER: [(f64, f64); 37] = [
    (80.574, -3.067),
    (84.248, -2.981),
    (87.264, -2.921),
    (87.195, -2.912),
    (89.076, -2.840),
    (89.608, -2.797),
    (89.868, -2.702),
    (90.101, -2.699),
    (92.405, -2.633),
    (95.854, -2.481),
    (100.696, -2.363),
    (101.060, -2.322),
    (401.672, -1.501),
    (390.724, -1.460),
    (567.534, -1.274),
    (635.316, -1.212),
    (733.054, -1.100),
    (759.087, -1.046),
    (894.206, -0.915),
    (990.785, -0.714),
    (1090.109, -0.566),
    (1080.914, -0.545),
    (1122.643, -0.400),
    (1178.351, -0.309),
    (1260.531, -0.109),
    (1273.514, -0.103),
    (1288.339, 0.010),
    (1327.543, 0.119),
    (1353.863, 0.377),
    (1414.509, 0.790),
    (1425.208, 0.963),
    (1421.384, 1.006),
    (1442.962, 1.115),
    (1464.350, 1.572),
    (1468.705, 1.841),
    (1447.894, 2.047),
    (1457.628, 2.200),
];

fn fitted(data: &[(f64, f64)], starts: &[f64], model: impl Fn(&[f64], f64) -> f64 + Sync) -> (Solution, f64) {
    let rows = |b: &[f64]| Some(Rows { data: data.iter().map(|(y, x)| y - model(b, *x)).collect(), prior: Vec::new() });
    let parameters = starts.iter().map(|s| Parameter { start: *s, step: 1e-5 * s.abs(), bounds: None }).collect();
    let solution = solve(&Problem { parameters, rows: &rows, huber: None, tolerance: 1e-15 }).expect("a solution");
    let residual_sd = (solution.sum_of_squares() / (data.len() - starts.len()) as f64).sqrt();
    (solution, residual_sd)
}

fn near(found: f64, certified: f64, relative: f64) {
    assert!((found - certified).abs() < relative * certified.abs(), "{found} for {certified}");
}

/// Values and standard errors with so many digits.
fn meets(solution: &Solution, residual_sd: f64, certified: &[(f64, f64)], value_digits: f64, error_digits: f64) {
    for (i, (value, error)) in certified.iter().enumerate() {
        near(solution.values[i], *value, value_digits);
        near(solution.standard_errors()[i] * residual_sd, *error, error_digits);
    }
}

#[test]
fn the_line_through_norris_has_its_certified_values() {
    let (solution, sd) = fitted(&NORRIS, &[1.0, 0.5], |b, x| b[0] + b[1] * x);
    near(sd, 0.884_796_396_144_373, 1e-10);
    let certified = [(-0.262_323_073_774_029, 0.232_818_234_301_152), (1.002_116_818_020_45, 0.429_796_848_199_937e-3)];
    meets(&solution, sd, &certified, 1e-8, 1e-8);
}

#[test]
fn the_curve_through_misra1a_has_its_certified_values() {
    let (solution, sd) = fitted(&MISRA1A, &[500.0, 1e-4], |b, x| b[0] * (1.0 - (-b[1] * x).exp()));
    near(sd, 1.018_787_633_0e-1, 1e-8);
    let certified = [(2.389_421_291_8e2, 2.707_007_524_1), (5.501_564_318_1e-4, 7.266_868_843_6e-6)];
    meets(&solution, sd, &certified, 1e-7, 1e-5);
}

#[test]
fn the_curve_through_thurber_has_its_certified_values() {
    let starts = [1000.0, 1000.0, 400.0, 40.0, 0.7, 0.3, 0.03];
    let model =
        |b: &[f64], x: f64| (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6])));
    let (solution, sd) = fitted(&THURBER, &starts, model);
    near(sd, 13.714_600_784, 1e-8);
    let certified = [
        (1.288_139_680_0e3, 4.664_796_333_4),
        (1.491_079_253_5e3, 39.571_156_086),
        (5.832_383_687_7e2, 28.698_696_102),
        (75.416_644_291, 5.567_537_027_0),
        (0.966_295_028_64, 0.031_333_340_687),
        (0.397_972_857_97, 0.014_984_928_198),
        (0.049_727_297_349, 0.006_584_234_462_3),
    ];
    meets(&solution, sd, &certified, 1e-5, 1e-4);
}

#[test]
fn an_outlier_does_not_rule_where_it_is_weighed_down() {
    let data: Vec<(f64, f64)> = (0..40)
        .map(|i| {
            (
                2.0 + 3.0 * f64::from(i) + if i % 2 == 0 { 0.5 } else { -0.5 } + if i == 30 { 500.0 } else { 0.0 },
                f64::from(i),
            )
        })
        .collect();
    let rows =
        |b: &[f64]| Some(Rows { data: data.iter().map(|(y, x)| y - b[0] - b[1] * x).collect(), prior: Vec::new() });
    let slope = |huber| {
        let parameters = vec![Parameter { start: 0.5, step: 1e-4, bounds: None }; 2];
        solve(&Problem { parameters, rows: &rows, huber, tolerance: 1e-12 }).expect("a solution").values[1]
    };
    assert!((slope(None) - 3.0).abs() > 0.5, "plain: {}", slope(None));
    assert!((slope(Some(2.5)) - 3.0).abs() < 0.03, "weighed: {}", slope(Some(2.5)));
}

#[test]
fn a_bound_holds_and_a_prior_pulls() {
    let rows = |b: &[f64]| Some(Rows { data: vec![b[0] - 5.0], prior: vec![b[0]] });
    let at = |bounds| {
        let parameters = vec![Parameter { start: 0.0, step: 1e-4, bounds }];
        solve(&Problem { parameters, rows: &rows, huber: None, tolerance: 1e-12 }).expect("a solution")
    };
    // A measurement of 5 and a prior of 0, of the same weight: half way, with the error of the mean of two.
    assert!((at(None).values[0] - 2.5).abs() < 1e-6);
    assert!((at(None).standard_errors()[0] - 0.5_f64.sqrt()).abs() < 1e-6);
    let bounded = at(Some((-1.0, 2.0))).values[0];
    assert!(bounded <= 2.0 && bounded > 1.9, "{bounded}");
}
