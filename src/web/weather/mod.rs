//! The weather as the keeper writes it down. Not here: degree-days and what rain does to fruit.

pub mod list;

use super::form::{Draft, Field, Form, Group, Reader, Reading};
use super::known::Known;
use super::site::Site;
use super::words::{self, ReadBack};
use crate::science::access::Rule;
use crate::science::number::Expect;
use crate::science::ripeness::doubt;
use crate::science::units::{Quantity, RainUnit, Units};
use crate::science::weather::WeatherDay;
use crate::store::ledger::{Fields, Happened, Kind, Values};

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/weather", Rule::Look, list::get)
        .form(&WeatherForm)
}

/// One note of the weather.
pub struct WeatherForm;

impl Form for WeatherForm {
    fn kind(&self) -> Kind {
        Kind::Weather
    }

    fn heading(&self) -> &'static str {
        "Rain and weather"
    }

    fn path(&self) -> &'static str {
        "/weather"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        fields.set("date", &known.today.to_string());
        fields
    }

    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group> {
        let units = known.units();
        let degrees = units.temperature.symbol();
        vec![Group::open(vec![
            Field::date(draft, "date", "Day"),
            Field::decimal(draft, "rain", "Rain")
                .unit(units.rain().symbol())
                .hint("0 means looked and none; empty means not measured."),
            Field::time(draft, "time", "Time of the rain").hint("If it matters beside a sample."),
            Field::decimal(draft, "low", "Lowest").unit(degrees),
            Field::decimal(draft, "high", "Highest").unit(degrees),
            Field::tick(draft, "hard_frost", "Hard frost, or one is forecast"),
            Field::area(draft, "note", "Note"),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let units = known.units();
        let date = reader.past_date("date", "Type the day.", known.today);
        let rain_mm = rain(reader, "rain", units);
        let mut degrees = |name| {
            let expect = Expect {
                biggest_plausible: Some(130.0),
                negative_ok: true,
            };
            let read = reader.measure(name, Quantity::Temperature(units.temperature), expect)?;
            if !(-60.0..=60.0).contains(&read.canonical) {
                reader.wrong(name, "That is no temperature of a day. What was it?");
                return None;
            }
            Some(read.canonical)
        };
        let (low_c, high_c) = (degrees("low"), degrees("high"));
        if let (Some(low), Some(high)) = (low_c, high_c)
            && low > high
        {
            reader.wrong("low", "The lowest is above the highest.");
        }
        let time = reader.time("time");
        if !["rain", "low", "high", "hard_frost", "note"]
            .iter()
            .any(|name| reader.fields().has(name))
        {
            reader.wrong(
                "rain",
                "Nothing was typed. Type the rain, a temperature or a note.",
            );
        }
        let day = WeatherDay {
            date: date?,
            time,
            rain_mm,
            low_c,
            high_c,
            hard_frost: reader.tick("hard_frost"),
            note: reader.text("note").unwrap_or_default(),
        };
        Some(day.into())
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Weather(day) => Happened {
                date: Some(day.date),
                time: day.time,
                offset: None,
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        let Values::Weather(day) = values else {
            return ReadBack::default();
        };
        let units = known.units();
        let mut read = ReadBack::titled(format!("Weather of {}", words::day_and_year(day.date)));
        read.maybe("Rain", day.rain_mm.map(|mm| rain_words(mm, units.rain())));
        read.maybe("Time of the rain", day.time.map(words::clock));
        let degrees = |celsius: f64| {
            let shown = units.temperature.from_celsius(celsius);
            format!("{} {}", words::number(shown, 0), units.temperature.symbol())
        };
        read.maybe("Lowest", day.low_c.map(degrees));
        read.maybe("Highest", day.high_c.map(degrees));
        if day.hard_frost {
            read.line("Hard frost", "yes");
        }
        read.maybe("Note", Some(day.note.as_str()));
        read.place = Some(("/weather".to_owned(), "All weather".to_owned()));
        read
    }

    fn next(&self, _values: Option<&Values>) -> Option<(String, String)> {
        Some(("/weather/new".to_owned(), "Write another day".to_owned()))
    }
}

/// Rain as typed, in mm. What is unlikely is asked about once.
pub fn rain(reader: &mut Reader, name: &str, units: Units) -> Option<f64> {
    let read = reader.measure(name, Quantity::Rain(units.rain()), Expect::default())?;
    let unit = match read.unit.as_str() {
        "mm" => RainUnit::Millimetre,
        _ => RainUnit::Inch,
    };
    if let Some(doubt) = doubt::of_rain(read.number.value, unit) {
        let typed = reader.raw(name).to_owned();
        let other = match unit {
            RainUnit::Inch => "mm",
            RainUnit::Millimetre => "in",
        };
        let mut readings = Vec::new();
        if doubt.suggestion.is_some() {
            readings.push(Reading::yes(name, format!("{} {other}", read.number)));
        }
        if doubt.impossible {
            reader.wrong_unless(name, doubt.to_string(), &readings);
        } else {
            readings.push(Reading::stands(name, &typed));
            reader.ask(name, doubt.to_string(), &readings);
        }
    }
    Some(read.canonical)
}

/// "0.4 in." or "10 mm"
pub fn rain_words(mm: f64, unit: RainUnit) -> String {
    let decimals = match unit {
        RainUnit::Inch => 2,
        RainUnit::Millimetre => 1,
    };
    let shown = words::number(unit.from_millimetres(mm), decimals);
    let shown = shown.trim_end_matches('0').trim_end_matches('.');
    let shown = if shown.is_empty() { "0" } else { shown };
    format!("{shown} {}", unit.symbol())
}
