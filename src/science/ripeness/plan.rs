//! The sampling plan: how many vines, how many samples on each, how many bags.
//! The walk itself, with its addresses, is not drawn up here.

use super::standard_error::shown_about;
use crate::science::normal::student_quantile;
use std::fmt;

/// What a plan must achieve, and what a walk costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanQuestion {
    pub sd_between: f64,
    pub sd_within: f64,
    /// Wanted half-width of the interval.
    pub half_width: f64,
    /// Chance that the interval holds the block's mean, such as 0.9.
    pub confidence: f64,
    pub vines_in_block: u32,
    /// To and from the next vine.
    pub minutes_per_vine: f64,
    pub minutes_per_sample: f64,
    pub max_per_vine: u32,
}

/// A walk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Walk {
    pub vines: u32,
    pub per_vine: u32,
    pub cost_minutes: f64,
    pub half_width: f64,
}

/// The cheapest walk that does it, or the best that can be had.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Plan {
    Enough(Walk),
    /// No walk in this block is that sure; this one comes closest.
    Best(Walk),
}

/// A plan that cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    #[error("{0} must be a number, not below zero.")]
    BelowZero(&'static str),
    #[error("{0} must be above zero.")]
    NotAboveZero(&'static str),
    #[error("confidence must lie between 0 and 1.")]
    Confidence,
    #[error("vines_in_block must be at least two.")]
    FewVines,
    #[error("max_per_vine must be from 1 to 1000.")]
    MaxPerVine,
    #[error("sd_between, sd_within and the minutes are too large to reckon with.")]
    TooLarge,
}

/// The cheapest walk whose interval is narrow enough.
///
/// Half-width = t_{n−1, (1+confidence)/2}·√(σ_v²(1/n − 1/N) + σ_w²/(n·m)); for each m the smallest
/// n ≥ 2 that does it, then the lowest cost n·c_v + n·m·c_s, smaller m on a tie. Spreads in the unit
/// of the value, costs in minutes. Errors: see [`PlanError`]. Source: two-stage sampling with the
/// finite block; Rankine, Cellier and Boehm 1962: take a minimum of material per vine.
///
/// ```
/// use endpost::science::ripeness::plan::{plan, Plan, PlanQuestion};
/// let wanted = PlanQuestion {
///     sd_between: 1.1, sd_within: 1.4, half_width: 0.5, confidence: 0.9, vines_in_block: 400,
///     minutes_per_vine: 1.5, minutes_per_sample: 0.25, max_per_vine: 30,
/// };
/// let Ok(Plan::Enough(walk)) = plan(&wanted) else { panic!() };
/// assert_eq!((walk.vines, walk.per_vine), (22, 3));
/// ```
pub fn plan(question: &PlanQuestion) -> Result<Plan, PlanError> {
    question.check()?;
    let mut best: Option<Walk> = None;
    for per_vine in 1..=question.max_per_vine {
        let Some(walk) = question.shortest(per_vine)? else {
            continue;
        };
        // Equal costs may differ in their last bits.
        let cheaper = |other: &Walk| walk.cost_minutes < other.cost_minutes * (1.0 - 1e-12);
        if best.as_ref().is_none_or(cheaper) {
            best = Some(walk);
        }
    }
    match best {
        Some(walk) => Ok(Plan::Enough(walk)),
        None => question
            .walk(question.vines_in_block, question.max_per_vine)
            .map(Plan::Best),
    }
}

/// The half-width that a walk of so many vines and samples on each brings. Errors: see [`PlanError`].
pub fn half_width(question: &PlanQuestion, vines: u32, per_vine: u32) -> Result<f64, PlanError> {
    question.check()?;
    Ok(question.walk(vines, per_vine)?.half_width)
}

/// The textbook number of samples per vine, for orientation: √(c_v/c_s)·σ_w/σ_v; `None` where it has
/// no limit.
pub fn samples_per_vine(question: &PlanQuestion) -> Option<f64> {
    let ratio = (question.minutes_per_vine / question.minutes_per_sample).sqrt()
        * question.sd_within
        / question.sd_between;
    ratio.is_finite().then_some(ratio)
}

impl PlanQuestion {
    fn check(&self) -> Result<(), PlanError> {
        for (name, value) in [
            ("sd_between", self.sd_between),
            ("sd_within", self.sd_within),
            ("minutes_per_vine", self.minutes_per_vine),
            ("minutes_per_sample", self.minutes_per_sample),
        ] {
            if !value.is_finite() || value < 0.0 {
                return Err(PlanError::BelowZero(name));
            }
        }
        if !self.half_width.is_finite() || self.half_width <= 0.0 {
            return Err(PlanError::NotAboveZero("half_width"));
        }
        if !(self.confidence > 0.0 && self.confidence < 1.0) {
            return Err(PlanError::Confidence);
        }
        if self.vines_in_block < 2 {
            return Err(PlanError::FewVines);
        }
        if !(1..=1000).contains(&self.max_per_vine) {
            return Err(PlanError::MaxPerVine);
        }
        Ok(())
    }

    /// The fewest vines that do it with so many samples on each; `None` if all are too few.
    fn shortest(&self, per_vine: u32) -> Result<Option<Walk>, PlanError> {
        let enough = |vines| Ok(self.walk(vines, per_vine)?.half_width <= self.half_width);
        let (mut low, mut high) = (2, self.vines_in_block);
        if !enough(high)? {
            return Ok(None);
        }
        // More vines always narrow the interval, so halving finds the fewest.
        while low < high {
            let middle = low + (high - low) / 2;
            if enough(middle)? {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        self.walk(low, per_vine).map(Some)
    }

    fn walk(&self, vines: u32, per_vine: u32) -> Result<Walk, PlanError> {
        let (count, each) = (f64::from(vines), f64::from(per_vine));
        let between =
            self.sd_between.powi(2) * (1.0 / count - 1.0 / f64::from(self.vines_in_block));
        let variance = between + self.sd_within.powi(2) / (count * each);
        let student = student_quantile((1.0 + self.confidence) / 2.0, count - 1.0)
            .ok_or(PlanError::Confidence)?;
        let walk = Walk {
            vines,
            per_vine,
            cost_minutes: self.minutes_per_vine * count + self.minutes_per_sample * count * each,
            half_width: student * variance.sqrt(),
        };
        if walk.half_width.is_finite() && walk.cost_minutes.is_finite() {
            Ok(walk)
        } else {
            Err(PlanError::TooLarge)
        }
    }
}

/// Bags of 100 berries for which the printed ± is at most `about` °Brix; `None` if 100 are too few.
///
/// The smallest number whose [`shown_about`], rounded as printed, is no more.
///
/// ```
/// use endpost::science::ripeness::plan::bags_for;
/// assert_eq!(bags_for(1.0), Some(2));
/// assert_eq!(bags_for(0.7), Some(4));
/// ```
pub fn bags_for(about: f64) -> Option<u32> {
    (1..=100).find(|&bags| {
        shown_about(f64::from(bags))
            .is_some_and(|shown| (shown * 10.0).round() <= about * 10.0 + 1e-9)
    })
}

/// What more bags would bring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoreBags {
    pub more: u32,
    pub from: f64,
    pub to: f64,
}

/// What `more` bags beside those at hand would bring; `None` without any at hand.
///
/// ```
/// use endpost::science::ripeness::plan::more_bags;
/// let said = more_bags(2.0, 2).unwrap().to_string();
/// assert_eq!(said, "two more bags would bring ±1.0 down to ±0.7");
/// ```
pub fn more_bags(at_hand: f64, more: u32) -> Option<MoreBags> {
    Some(MoreBags {
        more,
        from: shown_about(at_hand)?,
        to: shown_about(at_hand + f64::from(more))?,
    })
}

impl fmt::Display for MoreBags {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        const WORDS: [&str; 7] = ["no", "one", "two", "three", "four", "five", "six"];
        match WORDS.get(self.more as usize) {
            Some(word) => out.write_str(word)?,
            None => write!(out, "{}", self.more)?,
        }
        let bags = if self.more == 1 { "bag" } else { "bags" };
        let (from, to) = (self.from, self.to);
        write!(out, " more {bags} would bring ±{from:.1} down to ±{to:.1}")
    }
}
