//! Reads the tables of tests/published: notes at the top, then rows with named columns.
//! A blank cell is a value the publication does not give.

use std::collections::BTreeMap;

/// A published table.
pub struct Table {
    notes: BTreeMap<String, String>,
    pub columns: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

impl Table {
    pub fn read(text: &str) -> Table {
        let mut notes = BTreeMap::new();
        for line in text.lines().filter_map(|line| line.strip_prefix("# ")) {
            let (name, note) = line.split_once(": ").expect("a note has a name");
            notes.insert(name.to_owned(), note.to_owned());
        }
        for name in [
            "grade",
            "source",
            "page",
            "units",
            "tolerance",
            "tolerance from",
        ] {
            assert!(notes.contains_key(name), "the table names no {name}");
        }
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let columns = reader.headers().expect("a head").iter();
        let columns = columns.map(str::to_owned).collect();
        let rows = reader.records().map(|row| {
            let row = row.expect("a row");
            row.iter().map(str::to_owned).collect()
        });
        Table {
            notes,
            columns,
            rows: rows.collect(),
        }
    }

    /// How far a row may be off, as the table says.
    pub fn tolerance(&self) -> f64 {
        self.notes["tolerance"].parse().expect("a tolerance")
    }

    /// A cell as a number; `None` where it is blank.
    pub fn number(&self, row: &[String], column: &str) -> Option<f64> {
        let text = self.text(row, column);
        (!text.is_empty()).then(|| text.parse().expect("a number"))
    }

    pub fn text<'a>(&self, row: &'a [String], column: &str) -> &'a str {
        let at = self.columns.iter().position(|name| name == column);
        &row[at.expect("the column is there")]
    }
}

/// Keeps the largest deviation of a table, to be printed.
pub struct Worst {
    name: &'static str,
    rows: usize,
    off: f64,
    at: String,
}

impl Worst {
    pub fn of(name: &'static str) -> Worst {
        Worst {
            name,
            rows: 0,
            off: 0.0,
            at: String::new(),
        }
    }

    /// Holds a value to what is printed.
    pub fn hold(&mut self, at: String, found: f64, printed: f64, tolerance: f64) {
        let off = (found - printed).abs();
        assert!(
            off <= tolerance,
            "{} at {at}: {found} and not {printed} (±{tolerance})",
            self.name
        );
        self.rows += 1;
        if off > self.off {
            self.off = off;
            self.at = at;
        }
    }

    /// Prints the agreement and makes sure that nothing was left out.
    pub fn print(&self, rows: usize) {
        let Worst { name, off, at, .. } = self;
        println!("{name}: {rows} values, worst off {off:.5} at {at}");
        assert_eq!(self.rows, rows, "{name} has lost rows");
    }
}
