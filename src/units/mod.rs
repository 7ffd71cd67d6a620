//! Quantities with units, as a person writes and reads them.
//!
//! ```
//! use beadwise::units::{Force, Length, System};
//!
//! let press: Force = "1/2 tonf".parse()?;
//! assert_eq!(press.show(System::Metric), "4.448 kN");
//! let sheet: Length = "0.0478 in".parse()?;
//! assert!((sheet.mm() - 1.21412).abs() < 1e-9);
//! # Ok::<(), beadwise::units::UnitError>(())
//! ```
//!
//! Comes in: text such as `"12 kN"` or a bare number in a key's own unit. Goes out: numbers in the one
//! unit each kernel works in (mm, mm², mm³, N, MPa, s, °C), whose names carry that unit (`width_mm`).
//! Nothing that is not finite gets past here.

mod number;
mod quantity;
mod show;
mod suggest;

pub use number::read_number;
pub use quantity::{
    Acceleration, Angle, Area, Density, Field, Flow, Force, Length, LineLoad, Mass, Speed, Stress, Temperature, Time,
    Torque, Unit, UnitError, Volume,
};
pub use show::{System, significant};
pub use suggest::nearest;
