//! Plane geometry in f64 millimetres: points, polygons with holes, areas, moments, fits.
//!
//! Knows nothing of printing. All lengths are mm, areas mm², second moments mm⁴.

mod apart;
mod arcs;
mod boolean;
mod circle_fit;
mod hull;
mod inside;
mod moments;
mod offset;
mod point;
mod polygon;
mod reach;
mod segment;
mod simplify;
mod untangle;
mod weighted;
mod whole;

pub use arcs::{Arc, find_arcs};
pub use boolean::{clip_line, difference, intersect, nest, union};
pub use circle_fit::{Circle, CircleFit, fit_circle, holds_circle, widest_circle};
pub use hull::{Span, convex_hull, spans, width_along};
pub use inside::Inside;
pub use moments::{Moments, Principal};
pub use offset::{closed, offset, offset_ring, offset_round, opened};
pub use point::Point;
pub use polygon::{Polygon, Ring, box_of, ring_contains, ring_length_mm, signed_area};
pub use reach::Reach;
pub use segment::{Segment, SegmentGrid, edges_of};
pub use simplify::simplified;
pub use weighted::weighted_median;
pub use whole::{whole_above, whole_below};
