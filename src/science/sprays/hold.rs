//! When a sprayed block opens: entry after the longest entry interval in the tank, picking after
//! the longest days to harvest and never before entry. All in elapsed time.
//!
//! The room only adds up what was typed from the labels; a blank keeps the block closed.

use super::record::{Product, Spray};
use chrono::{DateTime, Duration, FixedOffset};
use std::fmt;
use thiserror::Error;

/// More hours or days than this are a slip of the thumb (judgement; longest seen on labels:
/// 66 days).
const MOST_HOURS: f64 = 8760.0;
const MOST_DAYS: f64 = 366.0;

/// Why an interval can't be one.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum HoldError {
    #[error(
        "The entry hours of {product} can't be {typed}. Type the label's hours, from 0 to 8760."
    )]
    EntryHours { product: String, typed: f64 },
    #[error(
        "The days to harvest of {product} can't be {typed}. Type the label's days, from 0 to 366."
    )]
    HarvestDays { product: String, typed: f64 },
    #[error("The spray lists no product. Add what was in the tank.")]
    NoProduct,
    #[error("The end of spraying is too far off to count from.")]
    EndOutOfRange,
}

/// What keeps a block closed because it was not typed, or can't be as typed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Blank {
    /// A spray was kept as typed: nobody knows which blocks it closes, and for how long.
    SprayToMend,
    End,
    Products,
    EntryHours {
        product: String,
    },
    HarvestDays {
        product: String,
    },
}

impl fmt::Display for Blank {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Blank::SprayToMend => {
                write!(out, "closed until the spray kept as typed is mended")
            }
            Blank::End => write!(out, "closed until you type when spraying ended"),
            Blank::Products => write!(out, "closed until you type what was in the tank"),
            Blank::EntryHours { product } => {
                write!(
                    out,
                    "closed until you type the label's entry hours of {product}"
                )
            }
            Blank::HarvestDays { product } => {
                write!(
                    out,
                    "closed until you type the label's days to harvest of {product}"
                )
            }
        }
    }
}

/// The end of one interval of one spray.
#[derive(Clone, Debug, PartialEq)]
pub enum Limit {
    At(DateTime<FixedOffset>),
    ClosedUntilTyped(Vec<Blank>),
}

/// What one spray says of entry and of picking.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    pub entry: Limit,
    pub picking: Limit,
}

/// The state of a block at a moment.
#[derive(Clone, Debug, PartialEq)]
pub enum Until {
    /// No spray is written down: nothing is known, somebody has to be asked.
    NothingWritten,
    /// The last interval ended at `since`.
    Open {
        since: DateTime<FixedOffset>,
    },
    Closed {
        until: DateTime<FixedOffset>,
    },
    ClosedUntilTyped {
        blanks: Vec<Blank>,
    },
}

impl Until {
    /// Whether an interval is known to have ended; a block without a written spray is not.
    pub fn is_open(&self) -> bool {
        matches!(self, Until::Open { .. })
    }

    fn while_a_spray_waits(self) -> Self {
        let mut blanks = match self {
            Until::ClosedUntilTyped { blanks } => blanks,
            _ => Vec::new(),
        };
        blanks.insert(0, Blank::SprayToMend);
        Until::ClosedUntilTyped { blanks }
    }

    pub fn is_closed(&self) -> bool {
        matches!(self, Until::Closed { .. } | Until::ClosedUntilTyped { .. })
    }
}

/// Entry and picking of a block at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    pub entry: Until,
    pub picking: Until,
}

impl Hold {
    /// The same, but closed as long as a spray waits to be mended, whatever else is known.
    pub fn unless_a_spray_waits(self, waits: bool) -> Self {
        match waits {
            false => self,
            true => Self {
                entry: self.entry.while_a_spray_waits(),
                picking: self.picking.while_a_spray_waits(),
            },
        }
    }

    /// Whether it is closed since a spray waits to be mended.
    pub fn waits_for_a_spray(&self) -> bool {
        match &self.entry {
            Until::ClosedUntilTyped { blanks } => blanks.contains(&Blank::SprayToMend),
            _ => false,
        }
    }
}

/// Says whether a product's intervals, where typed, can be intervals at all.
pub fn check(product: &Product) -> Result<(), HoldError> {
    let within =
        |value: Option<f64>, most: f64| value.filter(|typed| !(0.0..=most).contains(typed));
    if let Some(typed) = within(product.entry_hours, MOST_HOURS) {
        return Err(HoldError::EntryHours {
            product: named(product),
            typed,
        });
    }
    if let Some(typed) = within(product.harvest_days, MOST_DAYS) {
        return Err(HoldError::HarvestDays {
            product: named(product),
            typed,
        });
    }
    Ok(())
}

fn named(product: &Product) -> String {
    if product.name.trim().is_empty() {
        "a product without a name".to_owned()
    } else {
        product.name.trim().to_owned()
    }
}

/// Adds up the intervals of one tank from the end of spraying.
///
/// entry = end + longest entry hours; picking = end + 24 h × longest days to harvest, and never
/// before entry. Hours are elapsed, so a change of the clocks between does not shorten them; a
/// part of a second counts as a whole one. Fractions are allowed; hours 0 to 8760, days 0 to 366.
/// A blank interval gives the product's name instead of a moment. Source: US EPA, worker
/// protection pages (restrictions after application); Washington State crop protection guide
/// (entry outranks harvest, most restrictive in a tank mix); California AG rules 6772(a)(4) (a
/// day is 24 hours from the end).
///
/// ```
/// use endpost::science::sprays::{limits, Limit, Product};
/// let end = chrono::DateTime::parse_from_rfc3339("2027-09-20T18:30:00-04:00").unwrap();
/// let product = Product { entry_hours: Some(72.0), harvest_days: Some(0.0), ..Product::default() };
/// let found = limits(end, &[product]).unwrap();
/// assert_eq!(found.picking, Limit::At(end + chrono::Duration::hours(72)));
/// ```
pub fn limits(end: DateTime<FixedOffset>, products: &[Product]) -> Result<Limits, HoldError> {
    if products.is_empty() {
        return Err(HoldError::NoProduct);
    }
    products.iter().try_for_each(check)?;
    of_tank(end, products).ok_or(HoldError::EndOutOfRange)
}

fn of_tank(end: DateTime<FixedOffset>, products: &[Product]) -> Option<Limits> {
    let mut blanks: Vec<Blank> = products
        .iter()
        .filter(|product| product.entry_hours.is_none())
        .map(|product| Blank::EntryHours {
            product: named(product),
        })
        .collect();
    let entry_is_blank = !blanks.is_empty();
    let entry = if entry_is_blank {
        Limit::ClosedUntilTyped(blanks.clone())
    } else {
        let hours = products.iter().filter_map(|product| product.entry_hours);
        Limit::At(end.checked_add_signed(elapsed(longest(hours)))?)
    };
    blanks.extend(
        products
            .iter()
            .filter(|product| product.harvest_days.is_none())
            .map(|product| Blank::HarvestDays {
                product: named(product),
            }),
    );
    let picking = match &entry {
        Limit::At(opens) if blanks.is_empty() => {
            let days = products.iter().filter_map(|product| product.harvest_days);
            let harvest = end.checked_add_signed(elapsed(24.0 * longest(days)))?;
            Limit::At(harvest.max(*opens))
        }
        _ => Limit::ClosedUntilTyped(blanks),
    };
    Some(Limits { entry, picking })
}

fn longest(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(0.0, f64::max)
}

/// Whole seconds, never fewer than typed; a millionth of a second is the noise of the doubles.
pub(super) fn elapsed(hours: f64) -> Duration {
    Duration::seconds((hours * 3600.0 - 1e-6).ceil() as i64)
}

impl Spray {
    /// The limits of this spray. What can't be an interval counts as not typed, so that a slip
    /// never opens a block.
    pub fn limits(&self) -> Limits {
        let closed = |blank: Blank| Limits {
            entry: Limit::ClosedUntilTyped(vec![blank.clone()]),
            picking: Limit::ClosedUntilTyped(vec![blank]),
        };
        let Some(end) = self.end else {
            return closed(Blank::End);
        };
        if self.products.is_empty() {
            return closed(Blank::Products);
        }
        let understood: Vec<Product> = self.products.iter().map(understood).collect();
        of_tank(end, &understood).unwrap_or_else(|| closed(Blank::End))
    }
}

fn understood(product: &Product) -> Product {
    let mut product = product.clone();
    product.entry_hours = product
        .entry_hours
        .filter(|hours| (0.0..=MOST_HOURS).contains(hours));
    product.harvest_days = product
        .harvest_days
        .filter(|days| (0.0..=MOST_DAYS).contains(days));
    product
}

/// Joins all sprays of one block: the latest limit wins, and a blank beats all.
///
/// Sprays that had not begun by `now` do not count yet. The order of the sprays does not matter.
pub fn holds_on(sprays: &[Spray], now: DateTime<FixedOffset>) -> Hold {
    let begun: Vec<Limits> = sprays
        .iter()
        .filter(|spray| spray.begun(now))
        .map(Spray::limits)
        .collect();
    Hold {
        entry: join(begun.iter().map(|limits| &limits.entry), now),
        picking: join(begun.iter().map(|limits| &limits.picking), now),
    }
}

fn join<'a>(limits: impl Iterator<Item = &'a Limit>, now: DateTime<FixedOffset>) -> Until {
    let mut latest: Option<DateTime<FixedOffset>> = None;
    let mut blanks = Vec::new();
    for limit in limits {
        match limit {
            Limit::At(moment) => {
                latest = Some(latest.map_or(*moment, |known| known.max(*moment)));
            }
            Limit::ClosedUntilTyped(missing) => blanks.extend(missing.iter().cloned()),
        }
    }
    blanks.sort();
    blanks.dedup();
    match latest {
        _ if !blanks.is_empty() => Until::ClosedUntilTyped { blanks },
        None => Until::NothingWritten,
        Some(moment) if moment > now => Until::Closed { until: moment },
        Some(moment) => Until::Open { since: moment },
    }
}
