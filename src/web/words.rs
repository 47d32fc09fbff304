//! Words for dates, times, numbers and chances, the same on every page and sheet.
//! Not here: sentences about fruit (`harvest::sentences`).

use chrono::{DateTime, Datelike, NaiveDate, NaiveTime, TimeZone, Timelike};

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sept", "Oct", "Nov", "Dec",
];
/// The values of an entry in words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReadBack {
    pub headline: String,
    pub lines: Vec<Line>,
    /// A page where the record shows in its place.
    pub place: Option<(String, String)>,
}

/// One value in words, with the typed text where that was another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    pub label: String,
    pub text: String,
}

impl ReadBack {
    pub fn titled(headline: impl Into<String>) -> Self {
        Self {
            headline: headline.into(),
            ..Self::default()
        }
    }

    pub fn line(&mut self, label: impl Into<String>, text: impl Into<String>) {
        self.lines.push(Line {
            label: label.into(),
            text: text.into(),
        });
    }

    /// A line only when there is something to say.
    pub fn maybe(&mut self, label: &str, text: Option<impl Into<String>>) {
        if let Some(text) = text.map(Into::into).filter(|text| !text.is_empty()) {
            self.line(label, text);
        }
    }
}

/// "Thu 16 Sept"
pub fn day(date: NaiveDate) -> String {
    format!("{} {}", date.format("%a"), short_day(date))
}

/// "16 Sept"
pub fn short_day(date: NaiveDate) -> String {
    format!("{} {}", date.day(), MONTHS[date.month0() as usize])
}

/// "Fri 10 Sept 2027"
pub fn day_and_year(date: NaiveDate) -> String {
    format!("{} {}", day(date), date.year())
}

/// "the 28th" while it stays in the month of `near`, else "3 Oct".
pub fn day_near(date: NaiveDate, near: NaiveDate) -> String {
    if (date.year(), date.month()) == (near.year(), near.month()) {
        format!("the {}", ordinal(date.day()))
    } else {
        short_day(date)
    }
}

/// "21st", "22nd", "23rd", "28th"
pub fn ordinal(number: u32) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

/// "07:40"
pub fn clock(time: NaiveTime) -> String {
    format!("{:02}:{:02}", time.hour(), time.minute())
}

/// "Sat 18 Sept 10:40", by the clock of the moment's own zone; the year when it is not this one.
pub fn moment<Z: TimeZone>(at: &DateTime<Z>, today: NaiveDate) -> String {
    let wall = at.naive_local();
    let date = if wall.year() == today.year() {
        day(wall.date())
    } else {
        day_and_year(wall.date())
    };
    format!("{date} {}", clock(wall.time()))
}

/// "today", "yesterday", "1 day", "9 days"
pub fn ago(days: i64) -> String {
    match days {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        days => format!("{days} days ago"),
    }
}

/// A number with a fixed count of decimals; a negative zero loses its sign.
pub fn number(value: f64, decimals: usize) -> String {
    // Half a step is rounded up, as with a pencil.
    let step = 10f64.powi(decimals as i32);
    let value = (value * step + value.signum() * 1e-9).round() / step;
    let text = format!("{value:.decimals$}");
    if text.starts_with('-') && !text.contains(|digit: char| ('1'..='9').contains(&digit)) {
        text[1..].to_owned()
    } else {
        text.replace('-', "\u{2212}")
    }
}

/// A number with only the decimals it needs, up to three.
pub fn plain(value: f64) -> String {
    let text = number(value, 3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// "+1.3", "−0.8", "0.0"
pub fn change(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if text.starts_with('\u{2212}')
        || value == 0.0
        || !text.contains(|d: char| ('1'..='9').contains(&d))
    {
        text
    } else {
        format!("+{text}")
    }
}

/// "14 %"; what is not quite impossible or certain is not printed as 0 or 100.
pub fn percent(chance: f64) -> String {
    let whole = (chance * 100.0).round();
    if whole < 1.0 && chance > 0.0 {
        "under 1 %".to_owned()
    } else if whole > 99.0 && chance < 1.0 {
        "over 99 %".to_owned()
    } else {
        format!("{whole:.0} %")
    }
}

/// "1 in 7"
pub fn one_in(chance: f64) -> String {
    if chance >= 0.66 {
        return percent(chance);
    }
    if chance <= 0.01 {
        return "less than 1 in 100".to_owned();
    }
    let one_in = 1.0 / chance;
    if one_in < 2.8 && (one_in - one_in.round()).abs() > 0.2 {
        percent(chance)
    } else {
        format!("1 in {one_in:.0}")
    }
}

/// "one bag", "two bags", "11 bags"
pub fn counted(count: usize, one: &str, many: &str) -> String {
    const WORDS: [&str; 10] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
    ];
    let number = WORDS
        .get(count)
        .map_or_else(|| count.to_string(), |word| (*word).to_owned());
    format!("{number} {}", if count == 1 { one } else { many })
}

/// "A, B and C"
pub fn list(items: &[String]) -> String {
    match items.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}
