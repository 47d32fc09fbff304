//! The twelve curves a block's ripening may follow. No readings here.

use crate::science::ripeness::Attribute;

/// Number of curves.
pub const SHAPES: usize = 12;

const LENGTHS: [f64; 6] = [20.0, 28.0, 39.0, 55.0, 77.0, 108.0];
const LENGTH_WEIGHTS: [f64; 6] = [1.0, 2.0, 3.0, 3.0, 2.0, 1.0];

/// One curve from the level at the first reading (0) to the plateau (1).
#[derive(Debug, Clone, Copy)]
pub(super) struct Curve {
    power: i32,
    length: f64,
}

/// The curves of a value: a straight line to a corner and one that slows all the way; for acid,
/// which falls steeply and then tails off, two that slow.
pub(super) fn curves(attribute: Attribute) -> [Curve; SHAPES] {
    let powers = match attribute {
        Attribute::Brix | Attribute::Ph => [1, 2],
        Attribute::Ta => [2, 4],
    };
    std::array::from_fn(|at| Curve {
        power: powers[at / LENGTHS.len()],
        length: LENGTHS[at % LENGTHS.len()],
    })
}

/// Weights of the curves before any reading: middle lengths count most, both powers alike.
pub fn default_shape_weights() -> [f64; SHAPES] {
    let total: f64 = LENGTH_WEIGHTS.iter().sum();
    std::array::from_fn(|at| LENGTH_WEIGHTS[at % LENGTHS.len()] / total / 2.0)
}

impl Curve {
    /// Share of the way that is done on a day: G(t) = 1 − max(0, 1 − t/D)^q.
    pub fn share(self, day: f64) -> f64 {
        1.0 - (1.0 - day / self.length).max(0.0).powi(self.power)
    }
}
