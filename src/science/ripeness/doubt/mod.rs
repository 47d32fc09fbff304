//! The questions a typed value raises: slips of the thumb, jumps, swapped fields, odd repeats.
//!
//! It only asks. Nothing is corrected here, and what is typed is kept whatever the answer.

mod shift;
mod words;

use super::Attribute;
use crate::science::number::Number;
use crate::science::units::RainUnit;
use chrono::NaiveDate;

/// One question about what was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    pub question: Question,
    /// The value a tap on "yes" would take instead, in the stored unit.
    pub suggestion: Option<f64>,
    /// The value can't be; it may be kept as typed, but enters no sum.
    pub impossible: bool,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Question {
    /// The decimal mark seems to be elsewhere.
    DecimalMark,
    /// Acid seems to be typed in percent.
    Percent {
        typed: f64,
    },
    /// A value too far from the last one for the days between.
    Jump {
        change: f64,
        days: i64,
    },
    Outside {
        attribute: Attribute,
        typed: f64,
        low: f64,
        high: f64,
    },
    CannotBe {
        attribute: Attribute,
        typed: f64,
    },
    /// pH and acid stand in each other's field; the values as they would be.
    Swapped {
        ph: f64,
        ta: f64,
    },
    /// Readings of one juice differ too much.
    SameJuice {
        apart: f64,
    },
    /// Bags of one block and day differ too much.
    Bags {
        apart: f64,
    },
    LittleRain {
        typed: f64,
        unit: RainUnit,
    },
    MuchRain {
        typed: f64,
        unit: RainUnit,
    },
    RainCannotBe {
        typed: f64,
        unit: RainUnit,
    },
    /// The berries of a bag would be too light or too heavy.
    BerryWeight {
        each_g: f64,
        berries: u16,
    },
    Future {
        date: NaiveDate,
    },
    BeforePlanting {
        date: NaiveDate,
        planted: NaiveDate,
    },
}

/// The block's last value of the same attribute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LastValue {
    pub value: f64,
    pub date: NaiveDate,
}

/// What is usual and what is possible for an attribute.
struct Bounds {
    usual: (f64, f64),
    possible: (f64, f64),
}

/// °Brix 4 to 32 from veraison on, 0 to 60 possible; pH 2.6 to 4.2 and 1 to 9; acid 3 to 35 g/L
/// (30.4 was measured at veraison: University of Wisconsin fruit programme, Aug 2021) and 0 to
/// 60. The ranges are common practice.
const fn bounds(attribute: Attribute) -> Bounds {
    let (usual, possible) = match attribute {
        Attribute::Brix => ((4.0, 32.0), (0.0, 60.0)),
        Attribute::Ph => ((2.6, 4.2), (1.0, 9.0)),
        Attribute::Ta => ((3.0, 35.0), (0.0, 60.0)),
    };
    Bounds { usual, possible }
}

/// How near the block's last °Brix a shifted decimal mark has to land.
const NEAR_LAST_BRIX: f64 = 3.0;

/// Looks at one typed value of °Brix, pH or acid (g/L), taken on a date.
///
/// A value outside the usual range is asked about; the suggestion is the value with its decimal
/// mark shifted, if that lands inside the usual range, and for °Brix within 3 of the block's
/// last value where one is known. An acid below 3 is first taken for percent. A °Brix inside
/// the range is asked about when it is more than 2 + 0.5 a day from the last value (judgement:
/// two bags may be 2 apart, and a fast week brings about half of 0.5 a day), with two
/// neighbouring digits swapped as the suggestion.
pub fn of_value(
    attribute: Attribute,
    typed: &Number,
    date: NaiveDate,
    last: Option<LastValue>,
) -> Option<Doubt> {
    let Bounds { usual, possible } = bounds(attribute);
    let value = typed.value;
    if inside(value, usual) {
        return last
            .filter(|_| attribute == Attribute::Brix)
            .and_then(|last| jump(typed, date, last));
    }
    let impossible = !inside(value, possible);
    let in_percent = Some(shift::tenfold(typed))
        .filter(|_| attribute == Attribute::Ta && value < usual.0)
        .filter(|tenfold| inside(*tenfold, usual));
    let shifted = in_percent.or_else(|| {
        shift::decimal_marks(typed)
            .into_iter()
            .filter(
                |shifted| match last.filter(|_| attribute == Attribute::Brix) {
                    Some(last) => (shifted - last.value).abs() <= NEAR_LAST_BRIX,
                    None => inside(*shifted, usual),
                },
            )
            .min_by(|a, b| distance(*a, last).total_cmp(&distance(*b, last)))
    });
    let question = match shifted {
        Some(_) if in_percent.is_some() => Question::Percent { typed: value },
        Some(_) => Question::DecimalMark,
        None if impossible => Question::CannotBe {
            attribute,
            typed: value,
        },
        None => Question::Outside {
            attribute,
            typed: value,
            low: usual.0,
            high: usual.1,
        },
    };
    Some(Doubt {
        question,
        suggestion: shifted,
        impossible,
    })
}

/// Looks at one vine's or cluster's °Brix. Vines of one block differ by more than a block does
/// from week to week, so that only what is no reading at all is asked about.
pub fn of_one_vine(typed: &Number, date: NaiveDate, last: Option<LastValue>) -> Option<Doubt> {
    of_value(Attribute::Brix, typed, date, last)
        .filter(|doubt| !matches!(doubt.question, Question::Jump { .. }))
}

/// Looks at the mean of a day's vines or clusters: too far from the block's last °Brix, by the
/// rule of `of_value`, is asked about.
pub fn of_mean(mean: f64, date: NaiveDate, last: LastValue) -> Option<Doubt> {
    let (change, days, limit) = change_and_limit(mean, date, last);
    more_than(change.abs(), limit).then_some(Doubt {
        question: Question::Jump { change, days },
        suggestion: None,
        impossible: false,
    })
}

fn distance(value: f64, last: Option<LastValue>) -> f64 {
    last.map_or(0.0, |last| (value - last.value).abs())
}

fn inside(value: f64, (low, high): (f64, f64)) -> bool {
    (low..=high).contains(&value)
}

/// The change since the last value, the days between, and how much of a change is usual.
fn change_and_limit(value: f64, date: NaiveDate, last: LastValue) -> (f64, i64, f64) {
    let days = (date - last.date).num_days().abs();
    (value - last.value, days, 2.0 + 0.5 * days as f64)
}

fn jump(typed: &Number, date: NaiveDate, last: LastValue) -> Option<Doubt> {
    let (change, days, limit) = change_and_limit(typed.value, date, last);
    if !more_than(change.abs(), limit) {
        return None;
    }
    let suggestion = shift::swapped_digits(typed)
        .into_iter()
        .filter(|swapped| (swapped - last.value).abs() <= limit)
        .min_by(|a, b| (a - last.value).abs().total_cmp(&(b - last.value).abs()));
    Some(Doubt {
        question: Question::Jump { change, days },
        suggestion,
        impossible: false,
    })
}

/// Looks at pH and acid typed together: a pH of 4.5 to 20 with an acid of 2.6 to 4.2 looks
/// like each in the other's field. Ask this before the two single values.
pub fn of_ph_and_ta(ph: f64, ta: f64) -> Option<Doubt> {
    (inside(ph, (4.5, 20.0)) && inside(ta, (2.6, 4.2))).then_some(Doubt {
        question: Question::Swapped { ph: ta, ta: ph },
        suggestion: None,
        impossible: false,
    })
}

/// Looks at repeated °Brix readings of one juice: more than 0.4 apart is asked about.
pub fn of_same_juice(readings: &[f64]) -> Option<Doubt> {
    spread(readings, 0.4).map(|apart| asked(Question::SameJuice { apart }))
}

/// Looks at the °Brix of a day's bags from one block: more than 2.0 apart is asked about.
pub fn of_bags(bags: &[f64]) -> Option<Doubt> {
    spread(bags, 2.0).map(|apart| asked(Question::Bags { apart }))
}

/// Looks at the weight of a bag's berries, in grams: a berry outside 0.3 to 5 g is asked about.
/// Common practice, no source.
pub fn of_berry_weight(weight_g: f64, berries: u16) -> Option<Doubt> {
    let each_g = weight_g / f64::from(berries.max(1));
    (!inside(each_g, (0.3, 5.0))).then(|| asked(Question::BerryWeight { each_g, berries }))
}

fn spread(values: &[f64], most: f64) -> Option<f64> {
    let low = values.iter().copied().reduce(f64::min)?;
    let high = values.iter().copied().reduce(f64::max)?;
    more_than(high - low, most).then_some(high - low)
}

/// 21.8 − 21.4 is a hair above 0.4 in doubles; it is no more than 0.4 to a person.
fn more_than(value: f64, limit: f64) -> bool {
    value - limit > 1e-9
}

/// Most rain of a day that can be, in millimetres (the highest on record is near 1825: from
/// memory).
const MOST_RAIN_MM: f64 = 2000.0;

/// Looks at the rain of a day as typed in its unit: below 1 mm or above 6 in. is asked about.
///
/// The suggestion, in millimetres, is the same figure in the other unit, where that is usual.
pub fn of_rain(typed: f64, unit: RainUnit) -> Option<Doubt> {
    let millimetres = unit.to_millimetres(typed);
    if !inside(millimetres, (0.0, MOST_RAIN_MM)) {
        return Some(Doubt {
            question: Question::RainCannotBe { typed, unit },
            suggestion: None,
            impossible: true,
        });
    }
    let six_inches = RainUnit::Inch.to_millimetres(6.0);
    let usual = |rain: f64| inside(rain, (1.0, six_inches));
    if millimetres == 0.0 || usual(millimetres) {
        return None;
    }
    let question = if millimetres < 1.0 {
        Question::LittleRain { typed, unit }
    } else {
        Question::MuchRain { typed, unit }
    };
    let other = other_unit(unit).to_millimetres(typed);
    Some(Doubt {
        question,
        suggestion: usual(other).then_some(other),
        impossible: false,
    })
}

const fn other_unit(unit: RainUnit) -> RainUnit {
    match unit {
        RainUnit::Inch => RainUnit::Millimetre,
        RainUnit::Millimetre => RainUnit::Inch,
    }
}

/// Looks at a date: a future one and one before planting are asked about.
pub fn of_date(date: NaiveDate, today: NaiveDate, planted: Option<NaiveDate>) -> Option<Doubt> {
    if date > today {
        return Some(asked(Question::Future { date }));
    }
    planted
        .filter(|planted| date < *planted)
        .map(|planted| asked(Question::BeforePlanting { date, planted }))
}

fn asked(question: Question) -> Doubt {
    Doubt {
        question,
        suggestion: None,
        impossible: false,
    }
}
