//! `figure earlier-seasons`: this season's start from earlier ones. The formula is in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::seasons::{SeasonsError, prior};
use crate::science::ripeness::{Assumptions, Attribute, Plateau};
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "earlier-seasons",
    about: "where ripening should end this season, from earlier seasons' plateaus",
    example: r#"{"target": 22.0, "seasons": [{"plateau_mean": 23.5, "plateau_sd": 0.6}]}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let fields = Fields::of(input)?;
    let target = fields.number("target")?;
    let mut seasons = Vec::new();
    for season in fields.objects("seasons")? {
        let plateau = Plateau {
            mean: season.number("plateau_mean")?,
            sd: season.number("plateau_sd")?,
        };
        if plateau.sd < 0.0 {
            return Err(season.error("plateau_sd", "must not be below zero"));
        }
        seasons.push(plateau);
    }
    let found =
        prior(Attribute::Brix, target, &seasons, &Assumptions::default()).map_err(|error| {
            let field = match error {
                SeasonsError::UnusableTarget => "target",
                SeasonsError::UnusablePlateau | SeasonsError::SpreadReversed => "seasons",
            };
            FigureError(format!("`{field}`: {error}"))
        })?;
    Ok(Answer::new()
        .number("plateau_mean", found.mean)?
        .number("plateau_sd", found.sd)?
        .done())
}
