//! The value of a sample day: readings make a bag, bags make the day. Each bag counts once in the
//! mean, however often its juice was read and however many berries it held; only in how sure the
//! mean is does half a bag count half.
//! Not here: typed text (`doubt`), the course over days (`forecast`).

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate, NaiveTime};

use crate::science::places::VineAddress;

use super::acid::EndPoint;
use super::forecast::Reading;
use super::spread::{self, Spread};
use super::standard_error::{self, BERRIES_IN_A_BAG, Stops, shown_about};
use super::{Assumptions, Attribute, Bag, Sample, Stop, Taken};

/// One value of one sample day, and how sure it is.
#[derive(Clone, Debug, PartialEq)]
pub struct DayValue {
    pub value: f64,
    /// The ± that is printed. From bags it is rule R2's, for °Brix only; from stops it is the
    /// half-width of the 95 % interval.
    pub about: Option<f64>,
    /// What the forecast reckons with.
    pub standard_error: f64,
    pub rests_on: RestsOn,
}

/// What a day's value rests on.
#[derive(Clone, Debug, PartialEq)]
pub enum RestsOn {
    /// Number of bags, their worth in bags of 100 berries, the largest difference between them,
    /// and each bag's own mean with its number.
    Bags {
        count: usize,
        worth: f64,
        apart: Option<f64>,
        means: Vec<(u16, f64)>,
    },
    Stops {
        count: usize,
    },
}

/// All that was measured of one block on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct SampleDay {
    pub date: NaiveDate,
    pub time: Option<NaiveTime>,
    pub brix: Option<DayValue>,
    /// Single vines or clusters read on a day that has bags as well. The bags stand for the day:
    /// two ways of sampling don't mix into one mean.
    pub stops_beside_bags: Option<DayValue>,
    pub ph: Option<DayValue>,
    pub ta: Option<DayValue>,
    pub ta_end_point: Option<EndPoint>,
    pub berry_weight_g: Option<f64>,
    pub rot_percent: Option<f64>,
    pub animal_percent: Option<f64>,
    pub taste: Vec<String>,
    pub seeds: Vec<String>,
    pub skins: Vec<String>,
    pub notes: Vec<String>,
    pub frozen: bool,
    pub two_crops: bool,
    /// Edge rows were among those sampled, for want of others.
    pub edge_rows: bool,
    /// Why a new line begins on this day.
    pub new_series: Option<String>,
}

impl SampleDay {
    pub fn value(&self, attribute: Attribute) -> Option<&DayValue> {
        match attribute {
            Attribute::Brix => self.brix.as_ref(),
            Attribute::Ph => self.ph.as_ref(),
            Attribute::Ta => self.ta.as_ref(),
        }
    }

    /// Sugar in one berry, in grams: weight × °Brix ÷ 100. It tells ripening from drying and
    /// dilution. Needs weighed bags. From memory of common practice.
    pub fn sugar_per_berry_g(&self) -> Option<f64> {
        Some(self.berry_weight_g? * self.brix.as_ref()?.value / 100.0)
    }
}

/// The sample days of one block, oldest first, from all its samples in order of arrival.
/// `vines` is the block's number of bearing vines, where known.
pub fn sample_days(
    samples: &[&Sample],
    vines: Option<u32>,
    assumptions: &Assumptions,
) -> Vec<SampleDay> {
    let mut by_date: BTreeMap<NaiveDate, Vec<&Sample>> = BTreeMap::new();
    for sample in samples {
        by_date.entry(sample.date).or_default().push(sample);
    }
    by_date
        .into_iter()
        .map(|(date, samples)| sample_day(date, &samples, vines, assumptions))
        .collect()
}

fn sample_day(
    date: NaiveDate,
    samples: &[&Sample],
    vines: Option<u32>,
    assumptions: &Assumptions,
) -> SampleDay {
    let bags = merged_bags(samples);
    let stops: Vec<&Stop> = samples
        .iter()
        .filter_map(|sample| match &sample.taken {
            Taken::Stops(stops) => Some(stops),
            Taken::Bags(_) => None,
        })
        .flatten()
        .collect();
    let of_bags = |attribute, value: fn(&JoinedBag) -> Option<f64>| {
        from_bags(attribute, &bags, value, assumptions)
    };
    let brix_of_bags = of_bags(Attribute::Brix, |bag| mean(&bag.brix));
    let brix_of_stops = from_stops(&stops, vines, assumptions);
    let (brix, stops_beside_bags) = match brix_of_bags {
        Some(brix) => (Some(brix), brix_of_stops),
        None => (brix_of_stops, None),
    };
    let all = |text: fn(&Sample) -> &Option<String>| -> Vec<String> {
        samples.iter().filter_map(|one| text(one).clone()).collect()
    };
    let highest = |part: fn(&Sample) -> Option<f64>| {
        samples.iter().filter_map(|one| part(one)).reduce(f64::max)
    };
    SampleDay {
        date,
        time: samples.iter().filter_map(|sample| sample.time).max(),
        brix,
        stops_beside_bags,
        ph: of_bags(Attribute::Ph, |bag| mean(&bag.ph)),
        ta: of_bags(Attribute::Ta, |bag| mean(&bag.ta)),
        ta_end_point: bags.iter().find_map(|bag| bag.ta_end_point),
        berry_weight_g: berry_weight(&bags),
        rot_percent: highest(|sample| sample.rot_percent),
        animal_percent: highest(|sample| sample.animal_percent),
        taste: all(|sample| &sample.taste),
        seeds: all(|sample| &sample.seeds),
        skins: all(|sample| &sample.skins),
        notes: all(|sample| &sample.note),
        frozen: samples.iter().any(|sample| sample.frozen),
        two_crops: samples.iter().any(|sample| sample.two_crops),
        edge_rows: samples.iter().any(|sample| sample.edge_rows),
        new_series: samples.iter().find_map(|sample| sample.new_series.clone()),
    }
}

/// All readings of one bag number of one day: a second look at a bag is no second bag.
#[derive(Default)]
struct JoinedBag {
    number: u16,
    berries: u16,
    weight_g: Option<f64>,
    brix: Vec<f64>,
    ph: Vec<f64>,
    ta: Vec<f64>,
    ta_end_point: Option<EndPoint>,
}

fn merged_bags(samples: &[&Sample]) -> Vec<JoinedBag> {
    let mut joined: BTreeMap<u16, JoinedBag> = BTreeMap::new();
    let bags = samples.iter().filter_map(|sample| match &sample.taken {
        Taken::Bags(bags) => Some(bags),
        Taken::Stops(_) => None,
    });
    for bag in bags.flatten() {
        let Bag { number, .. } = *bag;
        let into = joined.entry(number).or_default();
        into.number = number;
        into.berries = into.berries.max(bag.berries);
        into.weight_g = into.weight_g.or(bag.weight_g);
        into.brix.extend(bag.brix.iter().map(|one| one.corrected));
        into.ph.extend(&bag.ph);
        into.ta.extend(bag.ta.iter().map(|one| one.g_per_l));
        let end_point = bag.ta.as_ref().and_then(|ta| ta.end_point);
        into.ta_end_point = into.ta_end_point.or(end_point);
    }
    joined.into_values().collect()
}

fn from_bags(
    attribute: Attribute,
    bags: &[JoinedBag],
    value: fn(&JoinedBag) -> Option<f64>,
    assumptions: &Assumptions,
) -> Option<DayValue> {
    let means: Vec<(u16, f64)> = bags
        .iter()
        .filter_map(|bag| Some((bag.number, value(bag)?)))
        .collect();
    let values: Vec<f64> = means.iter().map(|(_, value)| *value).collect();
    let worth: f64 = bags
        .iter()
        .filter(|bag| value(bag).is_some())
        .map(|bag| f64::from(bag.berries) / BERRIES_IN_A_BAG)
        .sum();
    let standard_error =
        standard_error::bags(attribute, worth, deviation(&values), assumptions).ok()?;
    Some(DayValue {
        value: mean(&values)?,
        about: match attribute {
            Attribute::Brix => shown_about(worth),
            Attribute::Ph | Attribute::Ta => None,
        },
        standard_error,
        rests_on: RestsOn::Bags {
            count: means.len(),
            worth,
            apart: largest_difference(&values),
            means,
        },
    })
}

/// The mean of the vines; a vine read more than once counts once, with the mean of its readings.
fn from_stops(stops: &[&Stop], vines: Option<u32>, assumptions: &Assumptions) -> Option<DayValue> {
    let values = vine_means(stops);
    let count = u32::try_from(values.len())
        .ok()
        .filter(|count| *count > 0)?;
    let sample = Stops {
        stops: count,
        samples_per_stop: u32::try_from(stops.len() / values.len()).unwrap_or(1),
        sd: deviation(&values),
        // More stops than vines means clusters: then the block is not used up by them.
        vines_in_block: vines.filter(|vines| *vines >= count),
    };
    let sure = standard_error::stops(Attribute::Brix, &sample, assumptions).ok()?;
    Some(DayValue {
        value: mean(&values)?,
        about: sure.half_width,
        standard_error: sure.standard_error,
        rests_on: RestsOn::Stops {
            count: values.len(),
        },
    })
}

/// The mean of each vine with an address; every reading without one stands for a vine of its own.
fn vine_means(stops: &[&Stop]) -> Vec<f64> {
    let mut of_vine: BTreeMap<&VineAddress, Vec<f64>> = BTreeMap::new();
    for stop in stops {
        if let Some(at) = &stop.at {
            of_vine.entry(at).or_default().push(stop.brix.corrected);
        }
    }
    let unnamed = stops.iter().filter(|stop| stop.at.is_none());
    let named = of_vine.values().filter_map(|readings| mean(readings));
    named
        .chain(unnamed.map(|stop| stop.brix.corrected))
        .collect()
}

/// The spread between and within vines that one sample of stops tells: at least five vines, some
/// of them read more than once on the same day.
pub fn own_spread(sample: &Sample) -> Option<Spread> {
    let Taken::Stops(stops) = &sample.taken else {
        return None;
    };
    let mut vines: BTreeMap<&VineAddress, Vec<f64>> = BTreeMap::new();
    for stop in stops {
        let at = stop.at.as_ref()?;
        vines.entry(at).or_default().push(stop.brix.corrected);
    }
    let groups: Vec<Vec<f64>> = vines.into_values().collect();
    spread::components(&groups).ok().filter(Spread::is_enough)
}

fn berry_weight(bags: &[JoinedBag]) -> Option<f64> {
    let weighed = bags
        .iter()
        .filter_map(|bag| Some((bag.weight_g?, bag.berries)));
    let (weight, berries) = weighed.fold((0.0, 0u32), |(weight, berries), one| {
        (weight + one.0, berries + u32::from(one.1))
    });
    (berries > 0).then(|| weight / f64::from(berries))
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Sample standard deviation; none below two values.
fn deviation(values: &[f64]) -> Option<f64> {
    let mean = mean(values).filter(|_| values.len() >= 2)?;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    Some((squares / (values.len() - 1) as f64).sqrt())
}

fn largest_difference(values: &[f64]) -> Option<f64> {
    let high = values.iter().copied().reduce(f64::max)?;
    let low = values.iter().copied().reduce(f64::min)?;
    (values.len() >= 2).then_some(high - low)
}

/// The sample days that belong to the line now running: those of the year of `day` up to `day`,
/// from the last one on which a new line began.
pub fn running_series(days: &[SampleDay], day: NaiveDate) -> &[SampleDay] {
    let of_year = of_season(days, day.year());
    let up_to = of_year.partition_point(|one| one.date <= day);
    let known = &of_year[..up_to];
    let start = known
        .iter()
        .rposition(|one| one.new_series.is_some())
        .unwrap_or(0);
    &known[start..]
}

/// The sample days of one year.
pub fn of_season(days: &[SampleDay], year: i32) -> &[SampleDay] {
    let start = days.partition_point(|one| one.date.year() < year);
    let end = days.partition_point(|one| one.date.year() <= year);
    &days[start..end]
}

/// One attribute's readings of a series, as the forecast takes them. Acid titrated to another end
/// point than the last is left out: such results don't mix.
pub fn readings(series: &[SampleDay], attribute: Attribute) -> Vec<Reading> {
    let end_point = series.iter().rev().find_map(|day| day.ta_end_point);
    series
        .iter()
        .filter(|day| {
            attribute != Attribute::Ta
                || day.ta_end_point.is_none()
                || day.ta_end_point == end_point
        })
        .filter_map(|day| {
            let found = day.value(attribute)?;
            Some(Reading {
                date: day.date,
                value: found.value,
                standard_error: found.standard_error,
            })
        })
        .collect()
}

/// Readings nearer together than this say more of the bags than of the vines.
const LEAST_DAYS_FOR_A_PACE: i64 = 4;

/// Change per week, in the value's own unit, between the last reading and the latest one at least
/// four days before it (judgement: over fewer days the bags' own spread is larger).
pub fn change_per_week(series: &[SampleDay], attribute: Attribute) -> Option<f64> {
    let found = readings(series, attribute);
    let (last, earlier) = found.split_last()?;
    let apart = |one: &&Reading| (last.date - one.date).num_days() >= LEAST_DAYS_FOR_A_PACE;
    let before = earlier.iter().rev().find(apart)?;
    let days = (last.date - before.date).num_days() as f64;
    Some((last.value - before.value) / days * 7.0)
}
