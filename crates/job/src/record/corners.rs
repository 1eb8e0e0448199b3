//! Corners of a panel, taken in turn.
//!
//! Law: shoelace, area = ½·|Σ (uₖ·vₖ₊₁ − uₖ₊₁·vₖ)|, in the square of the unit of
//! the corners.
//! Source: textbook plane geometry.
//! Holds: for outlines that do not cross themselves.
//! Left out: bent panels, whose skin is larger than their outline.
//! Checked by: a rectangle and a triangle worked by hand, below.

/// Area inside corners.
pub(crate) fn area(corners: &[[f64; 2]]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    let twice: f64 = corners
        .iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum();
    twice.abs() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_and_a_triangle_have_the_area_worked_by_hand() {
        assert!((area(&[[0.0, 0.0], [2.0, 0.0], [2.0, 3.0], [0.0, 3.0]]) - 6.0).abs() < 1e-12);
        assert!((area(&[[0.0, 0.0], [0.0, 3.0], [2.0, 0.0]]) - 3.0).abs() < 1e-12);
        assert!(area(&[]).abs() < 1e-12);
    }
}
