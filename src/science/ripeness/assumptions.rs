//! The figures the forecast and the plans start from, each with where it comes from.
//! Keepers may edit them; nothing is reckoned here.

use super::Attribute;
use super::alcohol::Rule;
use crate::science::sources::Work;
use serde::{Deserialize, Serialize};

/// All starting figures. `Default` holds the published or judged ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Assumptions {
    pub brix: ValueAssumptions,
    pub ph: ValueAssumptions,
    pub ta: ValueAssumptions,
    /// Weights of the three sizes of weather wobble; they add up to 1.
    pub wobble_weights: [f64; 3],
    /// Days after which a wobble has faded to 1/e.
    pub wobble_memory_days: f64,
    /// Chance that a given reading is a bad one.
    pub bad_share: f64,
    /// A bad reading's standard error is this many times larger.
    pub bad_factor: f64,
    /// Rot at which the keeper wants to decide whatever the sugar, in % of the fruit.
    pub rot_limit_percent: f64,
    /// The rule by which potential alcohol is estimated.
    pub alcohol_rule: Rule,
}

/// The starting figures of one value, in its own unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ValueAssumptions {
    /// Level on the day of the first reading, before any is known.
    pub start_mean: f64,
    pub start_sd: f64,
    /// How far beyond the target the block is expected to get, counted in the direction of ripening.
    pub plateau_margin: f64,
    pub plateau_sd: f64,
    /// Where ripening is expected to end when no target is set.
    pub plateau_without_target: f64,
    pub plateau_without_target_sd: f64,
    /// The three sizes of weather wobble.
    pub wobble: [f64; 3],
    /// Standard deviation of one bag of 100 berries.
    pub bag_sd: f64,
    pub instrument_sd: f64,
    /// Standard deviation of a block's plateau from season to season.
    pub between_seasons_sd: f64,
    /// Standard deviation between vines, until the block has its own.
    pub between_vines_sd: f64,
    /// Standard deviation between clusters of one vine, until the block has its own.
    pub within_vine_sd: f64,
}

impl Default for Assumptions {
    fn default() -> Self {
        Assumptions {
            brix: BRIX,
            ph: PH,
            ta: TA,
            wobble_weights: [0.4, 0.4, 0.2],
            wobble_memory_days: 6.0,
            bad_share: 0.04,
            bad_factor: 5.0,
            rot_limit_percent: 5.0,
            alcohol_rule: Rule::default(),
        }
    }
}

impl Default for ValueAssumptions {
    fn default() -> Self {
        BRIX
    }
}

const BRIX: ValueAssumptions = ValueAssumptions {
    start_mean: 13.0,
    start_sd: 6.0,
    plateau_margin: 2.0,
    plateau_sd: 2.0,
    plateau_without_target: 23.0,
    plateau_without_target_sd: 4.0,
    wobble: [0.2, 0.4, 0.8],
    bag_sd: 0.65,
    instrument_sd: 0.2,
    between_seasons_sd: 1.3,
    between_vines_sd: 1.03,
    within_vine_sd: 0.71,
};

// Between seasons: 0.65 of the plateau's spread, as 1.3 is of 2 for Brix.
// Between and within vines: in the ratio of the bag figures to that of Brix.
const PH: ValueAssumptions = ValueAssumptions {
    start_mean: 3.0,
    start_sd: 0.4,
    plateau_margin: 0.15,
    plateau_sd: 0.15,
    plateau_without_target: 3.45,
    plateau_without_target_sd: 0.3,
    wobble: [0.02, 0.04, 0.08],
    bag_sd: 0.06,
    instrument_sd: 0.03,
    between_seasons_sd: 0.65 * 0.15,
    between_vines_sd: 0.095,
    within_vine_sd: 0.066,
};

const TA: ValueAssumptions = ValueAssumptions {
    start_mean: 15.0,
    start_sd: 8.0,
    plateau_margin: 1.3,
    plateau_sd: 1.0,
    plateau_without_target: 8.0,
    plateau_without_target_sd: 3.0,
    wobble: [0.2, 0.4, 0.8],
    bag_sd: 0.6,
    instrument_sd: 0.2,
    between_seasons_sd: 0.65,
    between_vines_sd: 0.95,
    within_vine_sd: 0.66,
};

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// Follows from a publication.
    Published(Work),
    /// Somebody's judgement, for want of a published figure.
    Judgement,
    /// From memory, not confirmed.
    Memory,
}

/// One line of the "how we figure" page.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumed {
    /// `None` where the figure holds for all three values.
    pub attribute: Option<Attribute>,
    pub what: &'static str,
    pub value: f64,
    pub unit: &'static str,
    pub origin: Origin,
}

/// A figure that cannot be reckoned with.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("Among the assumptions, {what} cannot be {value}.")]
pub struct AssumptionError {
    pub what: &'static str,
    pub value: f64,
}

impl Assumptions {
    pub fn of(&self, attribute: Attribute) -> &ValueAssumptions {
        match attribute {
            Attribute::Brix => &self.brix,
            Attribute::Ph => &self.ph,
            Attribute::Ta => &self.ta,
        }
    }

    /// Every figure with its unit and its origin, in the order of a page.
    pub fn list(&self) -> Vec<Assumed> {
        let mut lines = Vec::new();
        for attribute in Attribute::ALL {
            self.of(attribute).list(attribute, &mut lines);
        }
        let judged = Origin::Judgement;
        for (what, value, unit) in [
            ("weight of the small wobble", self.wobble_weights[0], ""),
            ("weight of the middle wobble", self.wobble_weights[1], ""),
            ("weight of the large wobble", self.wobble_weights[2], ""),
            ("memory of the weather", self.wobble_memory_days, "days"),
            ("share of bad readings", self.bad_share, ""),
            ("a bad reading's error, times", self.bad_factor, ""),
            ("rot at which to decide", self.rot_limit_percent, "%"),
        ] {
            lines.push(Assumed {
                attribute: None,
                what,
                value,
                unit,
                origin: judged,
            });
        }
        lines
    }

    /// Finds the first figure that cannot be reckoned with.
    pub fn check(&self) -> Result<(), AssumptionError> {
        for line in self.list() {
            let any_size = line.what.starts_with("plateau")
                || line.what.starts_with("level")
                || line.what.starts_with("weight");
            let fine = line.value.is_finite()
                && if any_size {
                    line.value >= 0.0
                } else {
                    line.value > 0.0
                };
            if !fine {
                return Err(AssumptionError {
                    what: line.what,
                    value: line.value,
                });
            }
        }
        let weights: f64 = self.wobble_weights.iter().sum();
        if weights <= 0.0 {
            return Err(AssumptionError {
                what: "the sum of the wobble weights",
                value: weights,
            });
        }
        // Twelve readings are the most that are used at once.
        if self.bad_share * 12.0 >= 1.0 {
            return Err(AssumptionError {
                what: "share of bad readings",
                value: self.bad_share,
            });
        }
        Ok(())
    }
}

impl ValueAssumptions {
    fn list(&self, attribute: Attribute, lines: &mut Vec<Assumed>) {
        let brix = attribute == Attribute::Brix;
        let from = |work| {
            if brix {
                Origin::Published(work)
            } else {
                Origin::Judgement
            }
        };
        let vines = from(Work::Rankine1962);
        let bag = if brix {
            Origin::Published(Work::MarylandSampling)
        } else {
            Origin::Memory
        };
        let judged = Origin::Judgement;
        for (what, value, origin) in [
            ("level at the first reading", self.start_mean, judged),
            ("its standard deviation", self.start_sd, judged),
            ("plateau beyond the target", self.plateau_margin, judged),
            ("the plateau's standard deviation", self.plateau_sd, judged),
            (
                "plateau without a target",
                self.plateau_without_target,
                judged,
            ),
            (
                "that plateau's standard deviation",
                self.plateau_without_target_sd,
                judged,
            ),
            ("small weather wobble", self.wobble[0], judged),
            ("middle weather wobble", self.wobble[1], judged),
            ("large weather wobble", self.wobble[2], judged),
            ("one bag of 100 berries", self.bag_sd, bag),
            ("the instrument", self.instrument_sd, Origin::Memory),
            (
                "the plateau between seasons",
                self.between_seasons_sd,
                judged,
            ),
            ("between vines", self.between_vines_sd, vines),
            ("between clusters of a vine", self.within_vine_sd, vines),
        ] {
            lines.push(Assumed {
                attribute: Some(attribute),
                what,
                value,
                unit: attribute.unit(),
                origin,
            });
        }
    }
}
