//! What one tool was fed, and what it still owes after a retraction.

/// Feeds smaller than this are rounding of absolute E words, mm.
const ROUNDING_MM: f64 = 1e-9;

/// Filament of one tool: what went in, what was pulled back.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Filament {
    /// Fed less pulled back, mm.
    pub net_mm: f64,
    /// Highest `net_mm` so far: what was fed for good, mm.
    pub peak_mm: f64,
}

impl Filament {
    /// What was pulled back and has not come forward again, mm.
    #[must_use]
    pub fn debt_mm(&self) -> f64 {
        self.peak_mm - self.net_mm
    }

    /// Feeds `fed_mm` (negative pulls back); what of it is new plastic, the debt being paid first, mm.
    pub(super) fn feed(&mut self, fed_mm: f64) -> f64 {
        self.net_mm += fed_mm;
        let new_mm = self.net_mm - self.peak_mm;
        if new_mm > ROUNDING_MM {
            self.peak_mm = self.net_mm;
            // Without debt all of it is new; the difference of two long sums would lose digits.
            if (new_mm - fed_mm).abs() <= ROUNDING_MM { fed_mm } else { new_mm }
        } else {
            0.0
        }
    }
}
