//! Quantities with units, as a person writes and reads them.
//!
//! Comes in: text such as `"12 kN"` or a bare number in a key's own unit. Goes out: numbers in the one
//! unit each kernel works in (mm, mm², mm³, N, MPa, s, °C), whose names carry that unit (`width_mm`).
