//! The crop as it is counted and weighed in the row: clusters on single vines, weights of single
//! clusters. Not here: what they say of the whole block.

use chrono::{NaiveDate, NaiveTime};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::science::places::VineAddress;

/// One cluster card: vines counted and clusters weighed in one block on one day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ClusterCard {
    pub block: Uuid,
    pub date: NaiveDate,
    pub time: Option<NaiveTime>,
    pub counts: Vec<ClusterCount>,
    /// Weights of single clusters, in g.
    pub weights_g: Vec<f64>,
    pub note: Option<String>,
}

/// The clusters of one vine; zero is looked and none.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClusterCount {
    pub at: Option<VineAddress>,
    pub clusters: u16,
    pub remark: Option<String>,
}

impl ClusterCard {
    /// The sum of the counts, to match the one pencilled at the foot of the card.
    ///
    /// ```
    /// use endpost::science::crop::{ClusterCard, ClusterCount};
    /// let counts = [41, 35, 28].map(|clusters| ClusterCount { at: None, clusters, remark: None });
    /// let card = ClusterCard {
    ///     block: uuid::Uuid::nil(),
    ///     date: chrono::NaiveDate::MIN,
    ///     time: None,
    ///     counts: counts.to_vec(),
    ///     weights_g: Vec::new(),
    ///     note: None,
    /// };
    /// assert_eq!(card.clusters(), 104);
    /// ```
    pub fn clusters(&self) -> u32 {
        self.counts.iter().map(|one| u32::from(one.clusters)).sum()
    }

    /// Mean clusters of the vines counted; none where no vine was.
    pub fn mean_clusters(&self) -> Option<f64> {
        let vines = self.counts.len();
        (vines > 0).then(|| f64::from(self.clusters()) / vines as f64)
    }

    /// Mean weight of the clusters weighed, in g; none where none was.
    pub fn mean_weight_g(&self) -> Option<f64> {
        let clusters = self.weights_g.len();
        (clusters > 0).then(|| self.weights_g.iter().sum::<f64>() / clusters as f64)
    }
}
