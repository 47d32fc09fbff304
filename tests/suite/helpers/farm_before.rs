//! A farm that was written down before helpers were thought of keeps its entries and its pages.

use endpost::science::places::{Farm as Settings, ForHelpers};
use endpost::store::ledger::{Kind, Values};
use sqlx::{Connection, SqliteConnection};

use super::{FRIDAY, no_faults, tell};
use crate::support::farm::Farm;

/// The values as an earlier Endpost kept them.
const BEFORE: &str = r#"{"name":"Tamarack Bend","zone":"America/New_York",
    "units":{"temperature":"fahrenheit","mass":"pound","length":"foot"},
    "address":"1 Made-up Lane","keeper_phone":null,"emergency_place":null,
    "emergency_phone":null,"emergency_address":null,"poison_line":null}"#;

#[test]
fn values_from_before_are_read() {
    let read = Values::from_json(Kind::Farm, BEFORE).expect("values of an earlier Endpost");
    let Values::Farm(Settings {
        address,
        for_helpers,
        ..
    }) = read
    else {
        panic!("another kind");
    };
    assert_eq!(address.as_deref(), Some("1 Made-up Lane"));
    assert_eq!(for_helpers, ForHelpers::default());
}

#[tokio::test]
async fn entries_from_before_are_replayed_and_can_be_added_to() {
    let farm = Farm::started_at(FRIDAY).await;
    let folder = farm.close().await;
    let address = format!("sqlite://{}", folder.path().join("endpost.db").display());
    let mut connection = SqliteConnection::connect(&address)
        .await
        .expect("the database");
    let done = sqlx::query(
        r#"UPDATE ledger SET "values" = json_remove("values", '$.for_helpers')
           WHERE kind = 'farm' AND json_type("values", '$.for_helpers') = 'object'"#,
    )
    .execute(&mut connection)
    .await
    .expect("a write");
    assert_eq!(done.rows_affected(), 1);
    connection.close().await.expect("closed");

    let farm = Farm::in_folder(folder, FRIDAY).await;
    no_faults(&farm).await;
    farm.get("/helpers")
        .await
        .says("the keeper : not written down yet");
    let record = tell(&farm, &[("who_to_ask", "Kim"), ("water", "Tap")]).await;
    assert_eq!(record.value_of("Who to ask").as_deref(), Some("Kim"));
    farm.get("/helpers").await.says("Drinking water Tap");
    no_faults(&farm).await;
}
