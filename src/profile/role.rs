//! What a bead is for.

/// What a bead is for: the words of the trade, the same in code, JSON and reports.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// The outermost bead along an edge of the part.
    OuterWall,
    /// A bead along the edge, inside the outer wall.
    InnerWall,
    /// Fill with gaps between its lines.
    SparseInfill,
    /// Fill without gaps.
    SolidInfill,
    /// Laid over empty space.
    Bridge,
    /// A single bead that fills a place too narrow for two.
    GapFill,
    /// Holds the part up while it is printed, taken off afterwards.
    Support,
    /// Skirt, brim or raft.
    Adhesion,
    /// Cleaning or priming the nozzle.
    Purge,
    /// Nothing says what it is for.
    Unknown,
}

impl Role {
    /// Every role, in the order of reports.
    pub const ALL: [Self; 10] = [
        Self::OuterWall,
        Self::InnerWall,
        Self::SparseInfill,
        Self::SolidInfill,
        Self::Bridge,
        Self::GapFill,
        Self::Support,
        Self::Adhesion,
        Self::Purge,
        Self::Unknown,
    ];

    /// The word used in JSON and reports, such as `outer-wall`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::OuterWall => "outer-wall",
            Self::InnerWall => "inner-wall",
            Self::SparseInfill => "sparse-infill",
            Self::SolidInfill => "solid-infill",
            Self::Bridge => "bridge",
            Self::GapFill => "gap-fill",
            Self::Support => "support",
            Self::Adhesion => "adhesion",
            Self::Purge => "purge",
            Self::Unknown => "unknown",
        }
    }

    /// Whether beads of this role belong to the part itself.
    #[must_use]
    pub const fn is_part(self) -> bool {
        !matches!(self, Self::Support | Self::Adhesion | Self::Purge)
    }
}
