//! Points and vectors of the plane.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a vector of the plane, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// Along x, mm.
    pub x: f64,
    /// Along y, mm.
    pub y: f64,
}

impl Point {
    /// The point (x, y).
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Length as a vector, mm.
    #[must_use]
    pub fn length(self) -> f64 {
        // `hypot` guards against overflow near 1e154, which no machine reaches, and was a sixth of an audit's time.
        self.dot(self).sqrt()
    }

    /// Distance to `other`, mm.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// z of the vector product: positive when `other` lies to the left of `self`.
    #[must_use]
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// This vector turned a quarter turn to the left.
    #[must_use]
    pub fn left(self) -> Self {
        Self::new(-self.y, self.x)
    }

    /// This vector with length 1, or `None` when it has no direction.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length > 0.0).then(|| self * (1.0 / length))
    }

    /// The point a share `t` of the way from here to `other`.
    #[must_use]
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::new(self.x * by, self.y * by)
    }
}

impl Neg for Point {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}
