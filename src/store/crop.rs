//! Cluster cards in the database. Not here: what they say of the crop (`science::crop`).

use std::collections::HashMap;

use chrono::NaiveDate;
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use super::ledger::Arrival;
use super::{Read, StoreError, row};
use crate::science::crop::{ClusterCard, ClusterCount};
use crate::science::places::VineAddress;

pub(super) async fn put_cluster_card(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    card: &ClusterCard,
) -> Result<(), StoreError> {
    take_out_cluster_card(connection, arrival.record).await?;
    sqlx::query(
        "INSERT INTO cluster_card (id, entry, block, on_date, at_time, note, arrival)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(card.block)
    .bind(card.date)
    .bind(row::clock(card.time))
    .bind(card.note.as_deref())
    .bind(arrival.arrival_no)
    .execute(&mut *connection)
    .await?;
    for (place, count) in card.counts.iter().enumerate() {
        put_count(&mut *connection, arrival.record, place, count).await?;
    }
    for (place, weight_g) in card.weights_g.iter().enumerate() {
        sqlx::query("INSERT INTO cluster_weight (cluster_card, place, weight_g) VALUES (?, ?, ?)")
            .bind(arrival.record)
            .bind(place as i64)
            .bind(weight_g)
            .execute(&mut *connection)
            .await?;
    }
    Ok(())
}

async fn put_count(
    connection: &mut SqliteConnection,
    card: Uuid,
    place: usize,
    count: &ClusterCount,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO cluster_count (cluster_card, place, row_label, panel, vine, clusters, remark)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(card)
    .bind(place as i64)
    .bind(count.at.as_ref().map(|at| at.row.clone()))
    .bind(count.at.as_ref().map(|at| at.panel))
    .bind(count.at.as_ref().map(|at| at.vine))
    .bind(count.clusters)
    .bind(count.remark.as_deref())
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn take_out_cluster_card(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM cluster_count WHERE cluster_card = ?",
        "DELETE FROM cluster_weight WHERE cluster_card = ?",
        "DELETE FROM cluster_card WHERE id = ?",
    ] {
        row::delete(connection, sql, record).await?;
    }
    Ok(())
}

impl Read {
    /// The cluster cards from `first` to `last`, the newest first.
    pub async fn cluster_cards_between(
        &mut self,
        first: NaiveDate,
        last: NaiveDate,
    ) -> Result<Vec<(Uuid, ClusterCard)>, StoreError> {
        let cards = sqlx::query(
            "SELECT * FROM cluster_card WHERE on_date BETWEEN ? AND ?
             ORDER BY on_date DESC, at_time DESC, arrival DESC",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let counts = sqlx::query(
            "SELECT cluster_count.* FROM cluster_count
             JOIN cluster_card ON cluster_card.id = cluster_count.cluster_card
             WHERE on_date BETWEEN ? AND ? ORDER BY cluster_count.cluster_card, place",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let weights: Vec<(Uuid, f64)> = sqlx::query_as(
            "SELECT cluster_card, weight_g FROM cluster_weight
             JOIN cluster_card ON cluster_card.id = cluster_weight.cluster_card
             WHERE on_date BETWEEN ? AND ? ORDER BY cluster_card, place",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        assemble(&cards, &counts, weights)
    }
}

fn assemble(
    cards: &[SqliteRow],
    counts: &[SqliteRow],
    weights: Vec<(Uuid, f64)>,
) -> Result<Vec<(Uuid, ClusterCard)>, StoreError> {
    let mut counts_of: HashMap<Uuid, Vec<ClusterCount>> = HashMap::new();
    for found in counts {
        let (row, panel, vine) = (
            found.try_get("row_label")?,
            found.try_get("panel")?,
            found.try_get("vine")?,
        );
        let at = match (row, panel, vine) {
            (Some(row), Some(panel), Some(vine)) => Some(VineAddress { row, panel, vine }),
            _ => None,
        };
        let count = ClusterCount {
            at,
            clusters: found.try_get("clusters")?,
            remark: found.try_get("remark")?,
        };
        let card = found.try_get("cluster_card")?;
        counts_of.entry(card).or_default().push(count);
    }
    let mut weights_of: HashMap<Uuid, Vec<f64>> = HashMap::new();
    for (card, weight_g) in weights {
        weights_of.entry(card).or_default().push(weight_g);
    }
    cards
        .iter()
        .map(|found| {
            let id = found.try_get("id")?;
            let card = ClusterCard {
                block: found.try_get("block")?,
                date: found.try_get("on_date")?,
                time: row::time("cluster_card", found.try_get("at_time")?)?,
                counts: counts_of.remove(&id).unwrap_or_default(),
                weights_g: weights_of.remove(&id).unwrap_or_default(),
                note: found.try_get("note")?,
            };
            Ok((id, card))
        })
        .collect()
}
