//! Small symmetric matrices: at most as many rows as readings count. No statistics here.

use super::MOST_READINGS;

pub(super) type Row = [f64; MOST_READINGS];
pub(super) type Square = [Row; MOST_READINGS];

/// The inverse of a positive definite matrix and the logarithm of its determinant.
pub(super) struct Inverse {
    pub rows: Square,
    pub log_determinant: f64,
}

/// Inverts the leading `size` rows by Cholesky; `None` if they are not positive definite.
#[allow(clippy::needless_range_loop)] // triangles are clearer by index
pub(super) fn inverse(matrix: &Square, size: usize) -> Option<Inverse> {
    let mut lower = [[0.0; MOST_READINGS]; MOST_READINGS];
    let mut log_determinant = 0.0;
    for row in 0..size {
        for column in 0..=row {
            let mut rest = matrix[row][column];
            for k in 0..column {
                rest -= lower[row][k] * lower[column][k];
            }
            if row == column {
                if !rest.is_finite() || rest <= 0.0 {
                    return None;
                }
                lower[row][row] = rest.sqrt();
                log_determinant += rest.ln();
            } else {
                lower[row][column] = rest / lower[column][column];
            }
        }
    }
    // Turn the factor into its own inverse, then multiply that with its transpose.
    let mut turned = [[0.0; MOST_READINGS]; MOST_READINGS];
    for column in 0..size {
        turned[column][column] = 1.0 / lower[column][column];
        for row in column + 1..size {
            let mut sum = 0.0;
            for k in column..row {
                sum -= lower[row][k] * turned[k][column];
            }
            turned[row][column] = sum / lower[row][row];
        }
    }
    let mut rows = [[0.0; MOST_READINGS]; MOST_READINGS];
    for row in 0..size {
        for column in 0..=row {
            let mut sum = 0.0;
            for k in row..size {
                sum += turned[k][row] * turned[k][column];
            }
            rows[row][column] = sum;
            rows[column][row] = sum;
        }
    }
    Some(Inverse {
        rows,
        log_determinant,
    })
}

/// Σ aᵢbᵢ over the first `size` places.
pub(super) fn dot(a: &Row, b: &Row, size: usize) -> f64 {
    a[..size].iter().zip(&b[..size]).map(|(x, y)| x * y).sum()
}

/// The matrix times a vector.
pub(super) fn times(matrix: &Square, vector: &Row, size: usize) -> Row {
    let mut product = [0.0; MOST_READINGS];
    for (place, row) in product[..size].iter_mut().zip(matrix) {
        *place = dot(row, vector, size);
    }
    product
}
