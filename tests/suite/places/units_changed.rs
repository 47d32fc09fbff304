//! Another unit changes what pages show and no stored value.
//! Not here: how units are read (`typed::units`).

use std::collections::BTreeMap;

use endpost::store::catalogue::TABLES;
use endpost::store::export::Cell;

use crate::support::farm::Farm;
use crate::support::page::Page;

const NOW: &str = "2027-09-10T07:00:00-04:00";

/// Every table, each row a line of its named cells, as an export reads them.
async fn all_tables(farm: &Farm) -> BTreeMap<&'static str, Vec<Vec<(String, Cell)>>> {
    let mut read = farm.store.read().await.expect("a view");
    let mut tables = BTreeMap::new();
    // A device's row tells when it was last seen.
    for table in TABLES.iter().filter(|table| table.name != "device") {
        let columns = read.columns(table).await.expect("columns");
        let mut rows = Vec::new();
        read.each_row(table, |cells| {
            rows.push(columns.iter().cloned().zip(cells).collect());
            Ok(())
        })
        .await
        .expect("rows");
        tables.insert(table.name, rows);
    }
    tables
}

/// A farm with something measured in every unit; the records by what they are.
async fn measured() -> (Farm, Vec<(&'static str, Page)>) {
    let farm = Farm::at(NOW).await;
    let sample = [
        ("block", "A"),
        ("brix_1_1", "21.8"),
        ("temp_1", "77"),
        ("rain", "0.5"),
    ];
    let weather = [("rain", "0.5"), ("low", "50"), ("high", "77")];
    let spray = [
        ("block", "A"),
        ("date", "2027-09-10"),
        ("started", "05:00"),
        ("ended", "06:00"),
        ("volume", "45"),
        ("temp", "59"),
        ("product_1_name", "First"),
        ("product_1_entry", "12"),
        ("product_1_harvest", "7"),
    ];
    let mut records = Vec::new();
    for (what, path, typed) in [
        ("sample", "/ripeness/new", &sample[..]),
        ("weather", "/weather/new", &weather[..]),
        ("spray", "/sprays/new", &spray[..]),
    ] {
        let record = farm.type_in(path, typed).await;
        record.is_stored();
        records.push((what, record));
    }
    (farm, records)
}

async fn change_units(farm: &Farm, units: &[(&str, &str)]) {
    let house = farm.get("/house").await;
    let links = house.links();
    let change = links.iter().find(|link| link.ends_with("/correct"));
    let change = change.expect("a way to change the farm");
    farm.type_in(change, units).await.is_stored();
}

#[tokio::test]
async fn fahrenheit_to_celsius_changes_no_stored_value() {
    let (farm, records) = measured().await;
    let before = all_tables(&farm).await;
    let celsius = [("temperature", "celsius"), ("length", "metre")];
    change_units(&farm, &celsius).await;
    let after = all_tables(&farm).await;
    for (name, rows) in &before {
        let now = &after[name];
        match *name {
            // What was entered stays; the change itself comes to it.
            "ledger" => assert_eq!(now[..rows.len()], rows[..]),
            "farm" => {
                let changed: Vec<&String> = rows
                    .iter()
                    .flatten()
                    .zip(now.iter().flatten())
                    .filter(|(old, new)| old != new)
                    .map(|((column, _), _)| column)
                    .collect();
                assert_eq!(changed, ["entry", "temperature_unit", "length_unit"]);
            }
            _ => assert_eq!(now, rows, "{name}"),
        }
    }
    let told = BTreeMap::from([
        (
            "sample",
            [("juice at 77 °F", "juice at 25 °C"), ("0.5 in.", "12.7 mm")],
        ),
        ("weather", [("50 °F", "10 °C"), ("77 °F", "25 °C")]),
        ("spray", [("59 °F", "15 °C"), ("45 gal", "170.3 L")]),
    ]);
    for (what, record) in records {
        let now = farm.get(&format!("/entries/{}", record.entry())).await;
        for (old, new) in told[what] {
            record.says(old);
            now.says(new);
        }
    }
    let back = [("temperature", "fahrenheit"), ("length", "foot")];
    change_units(&farm, &back).await;
    let again = all_tables(&farm).await;
    for (name, rows) in before.iter().filter(|(name, _)| **name != "ledger") {
        if *name != "farm" {
            assert_eq!(&again[name], rows, "{name}");
        }
    }
}

/// An old entry opened to change its note alone: what was typed in °F is not read as °C.
#[tokio::test]
async fn an_old_entry_changed_after_the_units_keeps_its_values() {
    let (farm, records) = measured().await;
    change_units(&farm, &[("temperature", "celsius"), ("length", "metre")]).await;
    for (what, told) in [
        ("spray", ["15 °C", "170.3 L"]),
        ("weather", ["10 °C", "25 °C"]),
    ] {
        let (_, record) = records.iter().find(|(one, _)| *one == what).expect(what);
        let path = format!("/entries/{}/correct", record.entry());
        let changed = farm.type_in(&path, &[("note", "a word more")]).await;
        changed.is_stored();
        for value in told {
            let lines = changed.text_of("dl.read").join(" ");
            assert!(lines.contains(value), "{what}: {value:?} in {lines}");
        }
    }
}
