//! The words for what to do next about a block, with what has to be done before it, and for why:
//! reasons, and what is missing. Not here: the rule (`science::harvest`).

use super::sentences::capital;
use super::vineyard::BlockToday;
use crate::science::harvest::{Because, Before, Missing, Next, Readiness, Step, next};
use crate::science::ripeness::day::RestsOn;
use crate::science::ripeness::plan::more_bags;
use crate::science::sprays::Blank;
use crate::web::known::Known;
use crate::web::sprays::moment;
use crate::web::words;

/// Whether the next step is a sample, of a block whose vines are known.
pub fn asks_for_a_sample(one: &BlockToday, judged: &Readiness, known: &Known) -> bool {
    let step = next_of(one, judged, known).map(|next| next.step);
    let samples = matches!(
        step,
        Some(
            Step::FirstSample
                | Step::SampleToday
                | Step::SampleBy(_)
                | Step::SampleAfterRain { .. }
                | Step::SampleBeforePicking
        )
    );
    samples && !one.rows.is_empty()
}

/// What to do next, and what more bags would bring.
pub fn advice(one: &BlockToday, judged: &Readiness, known: &Known) -> Option<String> {
    let next = next_of(one, judged, known);
    let to_decide = next
        .as_ref()
        .is_some_and(|next| matches!(next.step, Step::Decide | Step::Pick));
    let bags = bags_advice(one, known).filter(|_| !to_decide);
    match (next.map(|next| words_of(&next, known)), bags) {
        (Some(step), Some(bags)) => Some(format!("{step}: {bags}.")),
        (Some(step), None) => Some(format!("{step}.")),
        (None, bags) => bags.map(|bags| format!("{}.", capital(&bags))),
    }
}

/// The next step in words; none for a block that is ready.
pub fn next_step(one: &BlockToday, judged: &Readiness, known: &Known) -> Option<String> {
    Some(words_of(&next_of(one, judged, known)?, known))
}

fn next_of(one: &BlockToday, judged: &Readiness, known: &Known) -> Option<Next> {
    let last = one.series(known.today).last().map(|day| day.date);
    next(judged, &one.outlooks, last, known.today, one.season_end)
}

fn words_of(next: &Next, known: &Known) -> String {
    let step = step_words(&next.step);
    match (&next.before, &next.step) {
        (None, _) => step,
        (Some(Before::MendSpray), _) => {
            format!(
                "Mend the spray that was kept as typed first; then {}",
                small(&step)
            )
        }
        (Some(Before::Type(blanks)), _) => format!(
            "Type {} first; then {}",
            blanks.first().map_or("what the label says", blank_words),
            small(&step)
        ),
        (
            Some(Before::EntryOpens(until)),
            Step::SampleBy(due) | Step::SampleAfterRain { from: due },
        ) if until.with_timezone(&known.zone).date_naive() < *due => {
            format!("{step}, not before entry opens {}", moment(until, known))
        }
        (Some(Before::EntryOpens(until)), Step::Decide) => {
            format!("{step}; entry opens {}", moment(until, known))
        }
        (Some(Before::EntryOpens(until)), _) => {
            let step = without_day(&next.step);
            format!("{step} once entry opens, {}", moment(until, known))
        }
    }
}

fn step_words(step: &Step) -> String {
    match step {
        Step::FirstSample => "Take a first sample".to_owned(),
        Step::SampleToday => "Sample again today".to_owned(),
        Step::SampleBy(day) => format!("Sample again by {}", words::day(*day)),
        Step::SampleAfterRain { from } => format!(
            "Sample again from {}, 2 to 3 days after the rain",
            words::day(*from)
        ),
        Step::Pick => "Taste, look and decide".to_owned(),
        Step::Measure(attribute) => format!("Measure {} before picking", attribute.name()),
        Step::SampleBeforePicking => "Sample before picking".to_owned(),
        Step::Decide => "Past its window: taste, look and decide".to_owned(),
    }
}

/// The step when its own day has to give way to the label's.
fn without_day(step: &Step) -> String {
    match step {
        Step::SampleToday | Step::SampleBy(_) | Step::SampleAfterRain { .. } => {
            "Sample again".to_owned()
        }
        step => step_words(step),
    }
}

fn blank_words(blank: &Blank) -> &'static str {
    match blank {
        Blank::SprayToMend => "the spray that waits",
        Blank::End => "when spraying ended",
        Blank::Products => "what was in the tank",
        Blank::EntryHours { .. } => "the label's entry hours",
        Blank::HarvestDays { .. } => "the label's days to harvest",
    }
}

/// The step inside a sentence.
fn small(step: &str) -> String {
    let mut letters = step.chars();
    match letters.next() {
        Some(first) => first.to_lowercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// What two more bags would bring; nothing once the season is over.
fn bags_advice(one: &BlockToday, known: &Known) -> Option<String> {
    let (_, found) = one.outlooks[0].last.as_ref()?;
    let RestsOn::Bags { worth, .. } = found.rests_on else {
        return None;
    };
    if worth >= 4.0 || known.today > one.season_end {
        return None;
    }
    more_bags(worth, 2).map(|more| more.to_string())
}

/// Why the state word is what it is: "°Brix inside; TA not there yet".
pub fn because_words(judged: &Readiness) -> Option<String> {
    let said: Vec<String> = judged.because.iter().map(reason_words).collect();
    (!said.is_empty()).then(|| said.join("; "))
}

fn reason_words(because: &Because) -> String {
    match because {
        Because::BeyondFarEdge(attribute) => format!("{} past its window", attribute.name()),
        Because::Inside(attribute) => format!("{} inside", attribute.name()),
        Because::InsideButOld { attribute, days } => {
            format!("{} inside, but read {days} days ago", attribute.name())
        }
        Because::LooksOff(attribute) => {
            format!("the last reading of {} looks off", attribute.name())
        }
        Because::EarlyDateNear { attribute, days } => format!(
            "{} could be inside within {}",
            attribute.name(),
            words::counted(days.ceil().max(1.0) as usize, "day", "days")
        ),
        Because::NotYet(attribute) => format!("{} not there yet", attribute.name()),
        Because::NoDate(attribute) => format!("{} outside, with no date", attribute.name()),
    }
}

/// What is missing, in words.
pub fn missing_words(missing: Missing) -> String {
    match missing {
        Missing::Target => "no target set".to_owned(),
        Missing::NotMeasured(attribute) => format!("{} not measured", attribute.name()),
        Missing::SecondReading(attribute) => {
            format!("{} needs a second reading", attribute.name())
        }
        Missing::SprayRecord => "no spray written down".to_owned(),
    }
}
