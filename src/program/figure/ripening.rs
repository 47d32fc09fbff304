//! `figure ripening`: the ripeness forecast. The method is in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::forecast::SHAPES;
use crate::science::ripeness::standard_error::{SampleError, bags};
use crate::science::ripeness::{
    Assumptions, Attribute, Forecast, ForecastError, Plateau, Question, Reading, Window, forecast,
};
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "ripening",
    about: "when a block's °Brix, pH or TA reaches its window, with chances by day",
    example: r#"{
  "attribute": "brix",
  "samples": [
    {"date": "2027-08-20", "mean": 18.7, "n_sub": 1, "sd_sub": null},
    {"date": "2027-08-27", "mean": 20.1, "n_sub": 1, "sd_sub": null},
    {"date": "2027-08-31", "mean": 21.0, "se": 0.68},
    {"date": "2027-09-03", "mean": 21.8, "n_sub": 2, "sd_sub": 0.42}
  ],
  "today": "2027-09-03",
  "season_end": "2027-10-31",
  "low": 24.0,
  "high": null,
  "prior": null,
  "shape_weights": null
}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let fields = Fields::of(input)?;
    let attribute = attribute(&fields)?;
    let assumptions = Assumptions::default();
    let samples = fields.objects("samples")?;
    let readings = samples
        .iter()
        .map(|sample| reading(sample, attribute, &assumptions))
        .collect::<Result<Vec<Reading>, FigureError>>()?;
    let question = Question {
        attribute,
        window: Window {
            low: fields.maybe_number("low")?,
            aim: None,
            high: fields.maybe_number("high")?,
        },
        today: fields.date("today")?,
        season_end: fields.date("season_end")?,
        prior: prior(&fields)?,
        shape_weights: shape_weights(&fields)?,
        assumptions,
    };
    let found = forecast(&readings, &question)
        .map_err(|error| FigureError(format!("`{}`: {error}", field_of(&error))))?;
    printed(&readings, &found)
}

fn attribute(fields: &Fields) -> Result<Attribute, FigureError> {
    match fields.text("attribute")? {
        "brix" => Ok(Attribute::Brix),
        "ph" => Ok(Attribute::Ph),
        "ta" => Ok(Attribute::Ta),
        other => Err(fields.error(
            "attribute",
            &format!("must be brix, ph or ta, not {other:?}"),
        )),
    }
}

/// A sample with its own standard error, or with the bags it is the mean of.
fn reading(
    sample: &Fields,
    attribute: Attribute,
    assumptions: &Assumptions,
) -> Result<Reading, FigureError> {
    let standard_error = match sample.maybe_number("se")? {
        Some(given) if given > 0.0 => given,
        Some(given) => return Err(sample.error("se", &format!("must be above zero, not {given}"))),
        None => {
            let Some(count) = sample.maybe_number("n_sub")? else {
                return Err(sample.error("se", "is missing, and so is n_sub in its place"));
            };
            let sd = sample.maybe_number("sd_sub")?;
            bags(attribute, count, sd, assumptions).map_err(|error| {
                let field = match error {
                    SampleError::UnusableSpread => "sd_sub",
                    _ => "n_sub",
                };
                FigureError(format!("`{}`: {error}", sample.path(field)))
            })?
        }
    };
    Ok(Reading {
        date: sample.date("date")?,
        value: sample.number("mean")?,
        standard_error,
    })
}

fn prior(fields: &Fields) -> Result<Option<Plateau>, FigureError> {
    let Some(given) = fields.maybe_object("prior")? else {
        return Ok(None);
    };
    Ok(Some(Plateau {
        mean: given.number("plateau_mean")?,
        sd: given.number("plateau_sd")?,
    }))
}

fn shape_weights(fields: &Fields) -> Result<Option<[f64; SHAPES]>, FigureError> {
    let Some(given) = fields.maybe_numbers("shape_weights")? else {
        return Ok(None);
    };
    let twelve = <[f64; SHAPES]>::try_from(given)
        .map_err(|_| fields.error("shape_weights", "must hold twelve numbers"))?;
    Ok(Some(twelve))
}

/// The input field an error is about.
fn field_of(error: &ForecastError) -> &'static str {
    match error {
        ForecastError::SeasonOver { .. } | ForecastError::SeasonTooLong(_) => "season_end",
        ForecastError::WindowReversed | ForecastError::UnusableWindow => "low",
        ForecastError::UnusablePrior => "prior",
        ForecastError::UnusableShapeWeights => "shape_weights",
        _ => "samples",
    }
}

fn printed(readings: &[Reading], found: &Forecast) -> Result<Value, FigureError> {
    let errors: Vec<f64> = readings.iter().map(|one| one.standard_error).collect();
    let outlier: Vec<f64> = found
        .p_outlier
        .iter()
        .map(|one| one.unwrap_or(0.0))
        .collect();
    let reaching = found.reaching.as_ref();
    let leaving = found.leaving.as_ref();
    let mut answer = Answer::new()
        .list("se_used", &errors)?
        .by_day("p_reached_by_day", reaching.map(|one| &*one.by_day))?
        .by_day("p_in_window_on_day", reaching.map(|_| &*found.in_window))?
        .by_day("p_beyond_on_day", leaving.map(|one| &*one.beyond))?
        .maybe("p_not_reached", reaching.map(|one| one.not_reached))?
        .maybe("leaves_days", leaving.and_then(|one| one.leaves_days))?
        .by_day("mean_on_day", Some(&found.mean))?
        .by_day("sd_on_day", Some(&found.sd))?
        .by_day("band10_on_day", Some(&found.band_low))?
        .by_day("band90_on_day", Some(&found.band_high))?
        .list("p_outlier", &outlier)?
        .number("plateau_mean", found.plateau.mean)?
        .number("plateau_sd", found.plateau.sd)?
        .list("shape_weights", &found.shape_weights)?;
    for (at, name) in ["q10_days", "q50_days", "q90_days"].into_iter().enumerate() {
        let if_reached = format!("{name}_if_reached");
        answer = answer
            .maybe(name, reaching.and_then(|one| one.quantiles[at]))?
            .maybe(
                &if_reached,
                reaching.and_then(|one| one.quantiles_if_reached[at]),
            )?;
    }
    Ok(answer.done())
}
