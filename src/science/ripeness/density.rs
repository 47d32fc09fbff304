//! Brix, specific gravity and Oechsle. No temperature and no alcohol here.

/// Specific gravity 20/20 in air of juice of `brix`.
///
/// SG = 1.0000004 + 3.86314888e-3·B + 1.35966858e-5·B² + 4.0169062e-8·B³. Valid for 0 to 40 °Brix,
/// otherwise `None`. No unit. Source: fitted to the sucrose density formula of the Sugar
/// Technologists Manual, weighed in air (within 0.00001); the NBS C440 scale lies within 0.00012,
/// which is 0.022 °Brix.
///
/// ```
/// use endpost::science::ripeness::density::specific_gravity;
/// assert!((specific_gravity(20.0).unwrap() - 1.08302).abs() < 1e-5);
/// assert_eq!(specific_gravity(41.0), None);
/// ```
pub fn specific_gravity(brix: f64) -> Option<f64> {
    if !(0.0..=40.0).contains(&brix) {
        return None;
    }
    Some(1.000_000_4 + brix * (3.863_148_88e-3 + brix * (1.359_668_58e-5 + brix * 4.016_906_2e-8)))
}

/// Degrees Oechsle of a specific gravity: 1000 (SG − 1).
pub fn oechsle(specific_gravity: f64) -> f64 {
    1000.0 * (specific_gravity - 1.0)
}

/// Brix of a specific gravity 20/20 in air, as a hydrometer shows it.
///
/// B = ((182.4601·S − 775.6821)·S + 1262.7794)·S − 669.5622, not below 0. Valid for 1 to 1.17874
/// (40 °Brix), otherwise `None`. Source: published cubic fit of the NBS C440 table.
pub fn brix(specific_gravity: f64) -> Option<f64> {
    let s = specific_gravity;
    (1.0..=1.178_75)
        .contains(&s)
        .then(|| (((182.4601 * s - 775.6821) * s + 1262.7794) * s - 669.5622).max(0.0))
}
