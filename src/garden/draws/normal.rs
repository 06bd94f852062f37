//! The normal distribution.

/// Above the fraction line, by rising powers. Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 26.2.23.
const ABOVE: [f64; 3] = [2.515517, 0.802853, 0.010328];
/// Below it, after 1. Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 26.2.23.
const BELOW: [f64; 3] = [1.432788, 0.189269, 0.001308];

/// Answers "which value of the standard normal distribution is not passed with this chance?", to within 0.00045 (Abramowitz and Stegun
/// 1964, 26.2.23).
///
/// ```
/// use barrowful::garden::draws::normal;
/// assert!((normal(0.9) - 1.28155).abs() < 4.5e-4);
/// assert!((normal(0.025) + 1.95996).abs() < 4.5e-4);
/// assert_eq!(normal(0.5), 0.0);
/// ```
#[must_use]
pub fn normal(u: f64) -> f64 {
    if u == 0.5 {
        return 0.0;
    }
    let (tail, sign) = if u < 0.5 { (u, -1.0) } else { (1.0 - u, 1.0) };
    let t = (-2.0 * libm::log(tail)).sqrt();
    let [c0, c1, c2] = ABOVE;
    let [d1, d2, d3] = BELOW;
    sign * (t - (c0 + t * (c1 + t * c2)) / (1.0 + t * (d1 + t * (d2 + t * d3))))
}

/// Answers "with which chance is a value of the standard normal distribution not above this one?"
///
/// ```
/// use barrowful::garden::draws::normal_chance;
/// assert!((normal_chance(1.959963984540054) - 0.975).abs() < 1e-12);
/// assert_eq!(normal_chance(0.0), 0.5);
/// ```
#[must_use]
pub fn normal_chance(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}
