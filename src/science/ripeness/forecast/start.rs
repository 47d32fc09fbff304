//! What is believed of level and plateau before the readings count. No readings here.

use super::{Plateau, Question};

/// Gaussian start of level and plateau.
pub(super) struct Start {
    pub level: f64,
    pub plateau: f64,
    pub level_precision: f64,
    pub plateau_precision: f64,
}

/// Level from the assumptions; plateau from earlier seasons, else from the edge met first or the aim,
/// else from what grapes mostly come to.
pub(super) fn start(question: &Question) -> Start {
    let attribute = question.attribute;
    let values = question.assumptions.of(attribute);
    let target = question.window.first_edge(attribute);
    let plateau = match (question.prior, target.or(question.window.aim)) {
        (Some(prior), _) => prior,
        (None, Some(target)) => Plateau {
            mean: target + attribute.sign() * values.plateau_margin,
            sd: values.plateau_sd,
        },
        (None, None) => Plateau {
            mean: values.plateau_without_target,
            sd: values.plateau_without_target_sd,
        },
    };
    Start {
        level: values.start_mean,
        plateau: plateau.mean,
        level_precision: values.start_sd.powi(-2),
        plateau_precision: plateau.sd.powi(-2),
    }
}
