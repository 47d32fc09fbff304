//! What was sprayed in the demo's three seasons. Products, registrations and intervals are made
//! up; a real farm types them from its labels.
//! Not here: the holds that follow (`science::sprays`).

use chrono::Days;

use super::script::{Script, day, evening, moment};
use crate::store::ledger::Kind;

/// A product of the demo's shed.
struct Product {
    name: &'static str,
    active: &'static str,
    rate: &'static str,
    entry_hours: &'static str,
    harvest_days: &'static str,
}

const PRODUCTS: [Product; 5] = [
    Product {
        name: "Tank 1 fungicide",
        active: "made-up active one",
        rate: "3 lb an acre",
        entry_hours: "24",
        harvest_days: "66",
    },
    Product {
        name: "Tank 2 fungicide",
        active: "made-up active two",
        rate: "10 fl oz an acre",
        entry_hours: "12",
        harvest_days: "14",
    },
    Product {
        name: "Tank 3 fungicide",
        active: "made-up active three",
        rate: "4 lb an acre",
        entry_hours: "24",
        harvest_days: "7",
    },
    Product {
        name: "Tank 4 insecticide",
        active: "made-up active four",
        rate: "6 fl oz an acre",
        entry_hours: "12",
        harvest_days: "3",
    },
    Product {
        name: "Leaf feed",
        active: "made-up trace elements",
        rate: "1 lb an acre",
        entry_hours: "4",
        harvest_days: "0",
    },
];

/// The Saturday on which each season's programme began.
const SEASONS: [&str; 3] = ["2025-05-24", "2026-05-23", "2027-05-22"];

/// Days after that Saturday, and the products in the tank, counted from 1.
const PROGRAMME: &[(u64, &[usize])] = &[
    (0, &[1]),
    (14, &[1, 5]),
    (28, &[2]),
    (42, &[2, 4]),
    (56, &[3]),
    (70, &[2]),
    (84, &[3, 4]),
];

const ALL: &[&str] = &["A", "B", "C", "D", "E"];

/// One spraying as it is typed.
struct Spraying<'a> {
    blocks: &'a [&'a str],
    date: &'a str,
    started: &'a str,
    ended: &'a str,
    volume: &'a str,
    wind: &'a str,
    temp: &'a str,
}

pub fn write(script: &mut Script) -> anyhow::Result<()> {
    for first in SEASONS {
        for (after, tank) in PROGRAMME {
            let date = (day(first)? + Days::new(*after)).to_string();
            let spraying = Spraying {
                blocks: ALL,
                date: &date,
                started: "06:40",
                ended: "09:15",
                volume: "65 gal",
                wind: "3 mph from the west",
                temp: "64",
            };
            spraying.write(script, tank)?;
        }
    }
    held(script)
}

/// What still holds picking on the morning of the demo.
fn held(script: &mut Script) -> anyhow::Result<()> {
    let on_e = Spraying {
        blocks: &["E"],
        date: "2027-08-28",
        started: "07:10",
        ended: "07:50",
        volume: "8 gal",
        wind: "calm",
        temp: "61",
    };
    // The label lay in the shed when this was typed: a blank interval keeps the block closed.
    on_e.line(script, &[3])?
        .set("product_2_name", "Leaf feed, new bag")
        .set("product_2_reg", "000-000 (made up)")
        .set("product_2_active", "made-up trace elements")
        .set("product_2_rate", "1 lb an acre")
        .set("product_2_entry", "4")
        .set(
            "note",
            "Label of the new bag is in the shed: days to picking still to be typed.",
        );
    let on_a = Spraying {
        blocks: &["A"],
        date: "2027-09-04",
        started: "17:05",
        ended: "18:30",
        volume: "22 gal",
        wind: "2 mph from the south",
        temp: "70",
    };
    on_a.write(script, &[3, 4])
}

impl Spraying<'_> {
    fn write(&self, script: &mut Script, tank: &[usize]) -> anyhow::Result<()> {
        self.line(script, tank).map(|_| ())
    }

    fn line<'s>(
        &self,
        script: &'s mut Script,
        tank: &[usize],
    ) -> anyhow::Result<&'s mut super::script::Line> {
        let key = format!("spray {} {}", self.blocks.concat(), self.date);
        let typed = match self.ended < "18:00" {
            true => evening(day(self.date)?, &key)?,
            false => moment(&format!("{} 19:10", self.date))?,
        };
        let fields = [
            ("date", self.date),
            ("started", self.started),
            ("ended", self.ended),
            ("volume", self.volume),
            ("applicator", "JT"),
            ("wind", self.wind),
            ("temp", self.temp),
            ("label_read", "yes"),
        ];
        let line = script.line(Kind::Spray, key, typed, &fields);
        for block in self.blocks {
            line.set("block", block);
        }
        for (place, number) in (1..).zip(tank) {
            let product = &PRODUCTS[number - 1];
            for (part, text) in [
                ("name", product.name),
                ("reg", "000-000 (made up)"),
                ("active", product.active),
                ("rate", product.rate),
                ("entry", product.entry_hours),
                ("harvest", product.harvest_days),
            ] {
                line.set(&format!("product_{place}_{part}"), text);
            }
        }
        line.by("JT");
        Ok(line)
    }
}
