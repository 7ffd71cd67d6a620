//! Plane geometry in f64 millimetres: points, polygons with holes, areas, moments, fits.
//!
//! Knows nothing of printing. All lengths are mm, areas mm², second moments mm⁴.

mod point;
mod polygon;

pub use point::Point;
pub use polygon::{Polygon, Ring};
