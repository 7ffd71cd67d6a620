//! Plane geometry in f64 millimetres: points, polygons with holes, areas, moments, fits.
//!
//! Knows nothing of printing. All lengths are mm, areas mm², second moments mm⁴.

mod boolean;
mod offset;
mod point;
mod polygon;

pub use boolean::{clip_line, difference, intersect, nest, union};
pub use offset::{offset, offset_round};
pub use point::Point;
pub use polygon::{Polygon, Ring, signed_area};
