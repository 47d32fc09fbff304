//! An instrument: does it compensate, and what does water read on it.
//! Not here: the correction (`science::ripeness::juice`).

use crate::science::number::Expect;
use crate::science::ripeness::Instrument;
use crate::store::ledger::{Fields, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader, Reading};
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};

/// A refractometer.
pub struct InstrumentForm;

impl Form for InstrumentForm {
    fn kind(&self) -> Kind {
        Kind::Instrument
    }

    fn heading(&self) -> &'static str {
        "An instrument"
    }

    fn path(&self) -> &'static str {
        "/instruments"
    }

    fn blank(&self, _known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        fields.set("water", "0");
        fields
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        let kinds = [
            ("yes", "Yes, by itself (often marked ATC)"),
            ("no", "No: Endpost corrects by the juice temperature"),
        ]
        .map(|(value, label)| (value.to_owned(), label.to_owned()));
        vec![Group::open(vec![
            Field::text(draft, "name", "Name").hint("As you call it: the old one, the blue one."),
            Field::one(
                draft,
                "compensated",
                "Does it compensate for temperature?",
                kinds,
            ),
            Field::decimal(draft, "water", "Pure water reads")
                .unit("°Brix")
                .hint(
                    "At 20 °C (68 °F). If it can't be set to zero, the reading is taken off first.",
                ),
            Field::date(draft, "zeroed_on", "Last zeroed"),
            Field::area(draft, "note", "Note"),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let name = reader.needed("name", "Type a name for it.");
        if let Some(name) = &name
            && reader.correcting.is_none()
            && known
                .instruments
                .iter()
                .any(|one| one.instrument.name.eq_ignore_ascii_case(name))
        {
            reader.wrong("name", "Another instrument has this name.");
        }
        let compensated = match reader.raw("compensated") {
            "yes" => Some(true),
            "no" => Some(false),
            _ => {
                reader.wrong(
                    "compensated",
                    "Choose whether it compensates for temperature.",
                );
                None
            }
        };
        let expect = Expect {
            biggest_plausible: Some(10.0),
            negative_ok: true,
        };
        let zero_offset = match reader.text("water") {
            None => Some(0.0),
            Some(_) => reader.number("water", expect),
        };
        if let Some(offset) = zero_offset.filter(|offset| offset.abs() > 1.0) {
            if offset.abs() > 5.0 {
                reader.wrong(
                    "water",
                    "Water can't be that far from zero. Look at the prism.",
                );
            } else {
                let typed = reader.raw("water").to_owned();
                reader.ask(
                    "water",
                    "Water more than 1 °Brix off zero: clean the prism and look again.",
                    &[Reading::stands("water", &typed)],
                );
            }
        }
        let zeroed_on = reader.date("zeroed_on");
        Some(
            Instrument {
                name: name?,
                compensated: compensated?,
                zero_offset: zero_offset?,
                zeroed_on,
                note: reader.text("note"),
            }
            .into(),
        )
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        let Values::Instrument(one) = values else {
            return ReadBack::default();
        };
        let mut read = ReadBack::titled(&one.name);
        read.line(
            "Temperature",
            match one.compensated {
                true => "compensates by itself; never corrected again",
                false => "does not compensate; corrected by the juice temperature",
            },
        );
        let water = words::number(one.zero_offset, 1);
        read.line("Pure water reads", format!("{water} °Brix"));
        read.maybe(
            "Last zeroed",
            one.zeroed_on.map(|on| {
                let ago = words::ago((known.today - on).num_days());
                format!("{} ({ago})", words::day_and_year(on))
            }),
        );
        read.maybe("Note", one.note.as_deref());
        read.place = Some(("/instruments".to_owned(), "All instruments".to_owned()));
        read
    }
}
