//! Skins: how many full layers close the core off under each roof and above each floor.
//!
//! The plan is covered with columns about half a millimetre apart. Each column goes up through the
//! layers with a little memory: whether it stands in the part, how many full layers it has met in a
//! row, and whether it has met a core. That is enough to know the skin at every surface:
//!
//! ```text
//!            .              outside           -> roof: the row of full layers just below is its skin
//!      ============         full    row 3
//!      ============         full    row 2
//!      ============         full    row 1
//!      -  -  -  -  -        core              -> the first core settles the floor's skin: 2
//!      ============         full    row 2
//!      ============         full    row 1
//! ```
//!
//! Where the part goes on beside a surface, as at the foot of a step, a fill line ends half a bead short of the
//! edge of the wall above it. That rim is no open skin: a column counts for a surface only when none of its
//! neighbours goes on through it.
//!
//! A column that is full all the way (under walls, say) has no core to close and is not counted.

use super::LayerShape;
use super::bit_plan::BitPlan;
use super::part_beads::{PartStrand, part_strands};
use super::plan_grid::PlanGrid;
use crate::deposit::Layer;
use crate::geom::Point;
use crate::profile::Role;
use std::collections::{BTreeMap, VecDeque};

/// Beads of full places are drawn this much wider than A/h, so that a skin laid with little flow or a
/// seam between fill and wall is a thin skin and not none (other measures speak of the flow).
const DRAWN_WIDER: f64 = 1.5;

/// A surface counts when its columns cover at least this, mm².
const LEAST_PATCH_MM2: f64 = 4.0;

/// More full layers in a row than this are seldom a skin.
const MOST_SKIN_LAYERS: u32 = 15;

/// Less than this is a column or two that slipped between two beads, mm².
const NOISE_MM2: f64 = 1.0;

/// Columns kept per patch to find a place in its middle.
const KEPT: usize = 256;

/// A piece of surface with one number of full layers behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkinPatch {
    /// Full layers between the surface and the core.
    pub layers: u32,
    /// Their thickness, mm.
    pub thickness_mm: f64,
    /// Area of the surface with this skin, mm².
    pub area_mm2: f64,
    /// Layer at the surface: the last one under a roof, the first one above a floor.
    pub surface_layer: usize,
    /// Height of the surface, mm.
    pub z_mm: f64,
    /// A place in it.
    pub at: Point,
}

/// All surfaces that look the same way.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SkinSide {
    /// Full layers behind most of the surface; `None` where no surface has a core behind it.
    pub layers: Option<u32>,
    /// The surface with the fewest.
    pub thinnest: Option<SkinPatch>,
    /// Every surface by layer and number of full layers, from the bottom up.
    pub patches: Vec<SkinPatch>,
}

/// Skins of a print.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SkinMap {
    /// Under roofs.
    pub top: SkinSide,
    /// Above floors.
    pub bottom: SkinSide,
}

/// What a column remembers: nothing that changes while it goes on through the part in the same way.
#[derive(Debug, Clone, Copy, Default)]
struct Column {
    /// Its first layer is a floor, not the rim of one beside what was there before.
    floor: bool,
    met_core: bool,
    /// The layer (counted as they come) at which it entered the part.
    entered: u32,
    floor_layer: u32,
    floor_z_mm: f64,
    /// Where the full layers in a row began that it goes through now, if it does.
    row: Mark,
    /// Full layers in a row above the floor, and their thickness, once a core was met.
    floor_row: u32,
    floor_row_mm: f64,
}

/// A place on the way up: layers met before it, and their thickness.
#[derive(Debug, Clone, Copy, Default)]
struct Mark {
    layers: u32,
    thickness_mm: f64,
}

/// One number of layers at one surface while it is gathered.
#[derive(Debug, Clone, Default)]
struct Gathered {
    count: usize,
    thickness_mm: f64,
    z_mm: f64,
    middle: Point,
    /// Every n-th column, n doubling whenever there are too many.
    kept: Vec<Point>,
    stride: usize,
}

impl Gathered {
    fn add(&mut self, at: Point, thickness_mm: f64, z_mm: f64) {
        self.stride = self.stride.max(1);
        if self.count.is_multiple_of(self.stride) {
            self.kept.push(at);
        }
        if self.kept.len() >= KEPT {
            self.stride *= 2;
            let mut place = 0;
            self.kept.retain(|_| {
                place += 1;
                place % 2 == 1
            });
        }
        self.count += 1;
        self.middle = self.middle.lerp(at, 1.0 / self.count as f64);
        self.thickness_mm += thickness_mm;
        self.z_mm = z_mm;
    }

    /// The kept column nearest to the middle of them all.
    fn place(&self) -> Option<Point> {
        let off = |p: &Point| p.distance(self.middle);
        self.kept.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)))
    }
}

type Surfaces = BTreeMap<(usize, u32), Gathered>;

/// Gathers the skins of a print, fed layer by layer in print order.
#[derive(Debug, Clone, Default)]
pub struct Skins {
    grid: PlanGrid<Column>,
    /// Columns that stand in the part at the last layer, and those of them that are full there.
    inside: BitPlan,
    full: BitPlan,
    /// How far up the last layer lies.
    met: Mark,
    roofs: Surfaces,
    floors: Surfaces,
    last: Option<(usize, f64)>,
    /// What layers that may come again were drawn as, the last one first.
    drawn: VecDeque<Drawn>,
}

/// Layers drawn lately that are remembered at most.
const MOST_DRAWN: usize = 32;

/// Layers with one number, as the columns see them.
#[derive(Debug, Clone)]
struct Drawn {
    number: usize,
    roles: Vec<Role>,
    inside: BitPlan,
    full: BitPlan,
}

impl Skins {
    /// Takes one layer of the part and what was found in it.
    pub fn push(&mut self, layer: &Layer, shape: &LayerShape) {
        match self.grid.cover(&shape.outline) {
            Err(()) => return,
            Ok(None) => {}
            Ok(Some(grown)) => {
                self.drawn.clear();
                self.inside = self.grid.regrown(&self.inside, grown);
                self.full = self.grid.regrown(&self.full, grown);
            }
        }
        let (inside, full) = self.draw(layer, shape);
        self.leave(&inside);
        self.enter(&inside, shape);
        self.change_rows(&inside, &full);
        self.met.layers += 1;
        self.met.thickness_mm += shape.height_mm;
        (self.inside, self.full) = (inside, full);
        self.last = Some((shape.index, shape.z_mm));
    }

    /// Which columns stand in the part, and which of them are full.
    fn draw(&mut self, layer: &Layer, shape: &LayerShape) -> (BitPlan, BitPlan) {
        let before = |drawn: &Drawn| Some(drawn.number) == layer.number && drawn.roles == shape.roles;
        if let Some(again) = self.drawn.iter().position(before).and_then(|at| self.drawn.remove(at)) {
            let plans = (again.inside.clone(), again.full.clone());
            self.drawn.push_front(again);
            return plans;
        }
        let mut inside = self.grid.blank();
        inside.draw_polygons(&shape.outline);
        let full = full_columns(&inside, layer, &shape.roles);
        if let Some(number) = layer.number {
            self.drawn.truncate(MOST_DRAWN - 1);
            let (roles, inside, full) = (shape.roles.clone(), inside.clone(), full.clone());
            self.drawn.push_front(Drawn { number, roles, inside, full });
        }
        (inside, full)
    }

    /// Columns that stood in the part and do not any more have come to a roof, or to the rim of one.
    fn leave(&mut self, inside: &BitPlan) {
        let mut near = inside.clone();
        near.grow(0, 1);
        let leaving = self.inside.without(inside);
        leaving.each_set(|at| self.close(at, !near.is_set(at)));
    }

    fn enter(&mut self, inside: &BitPlan, shape: &LayerShape) {
        let mut near = self.inside.clone();
        near.grow(0, 1);
        inside.without(&self.inside).each_set(|at| {
            *self.grid.column_mut(at) = Column {
                floor: !near.is_set(at),
                entered: self.met.layers,
                floor_layer: shape.index as u32,
                floor_z_mm: shape.z_mm - shape.height_mm,
                ..Column::default()
            };
        });
    }

    /// Rows of full layers begin where a column is full now and was not, and end where it is not any more.
    fn change_rows(&mut self, inside: &BitPlan, full: &BitPlan) {
        let met = self.met;
        let grid = &mut self.grid;
        full.without(&self.full).each_set(|at| grid.column_mut(at).row = met);
        let mut ending = inside.without(&self.inside);
        ending.join(&self.full);
        ending.keep(inside);
        ending.take_away(full);
        ending.each_set(|at| {
            let column = grid.column_mut(at);
            if !column.met_core && self.full.is_set(at) {
                column.floor_row = met.layers - column.row.layers;
                column.floor_row_mm = met.thickness_mm - column.row.thickness_mm;
            }
            column.met_core = true;
        });
    }

    /// Closes the part at its top and sums up.
    #[must_use]
    pub fn finish(mut self) -> SkinMap {
        let inside = std::mem::take(&mut self.inside);
        inside.each_set(|at| self.close(at, true));
        let cell_mm2 = self.grid.cell_mm * self.grid.cell_mm;
        SkinMap { top: side(&self.roofs, cell_mm2), bottom: side(&self.floors, cell_mm2) }
    }

    /// Ends a column's stay in the part: a roof (where it counts as one) and a floor, if there is a core between them.
    ///
    /// A stay of one layer has no room for a core: that is an outline which slipped.
    fn close(&mut self, at: usize, roof: bool) {
        let (place, column) = (self.grid.place(at), self.grid.column(at));
        let stay = self.met.layers - column.entered;
        let Some((layer, z_mm)) = self.last.filter(|_| column.met_core && stay > 1) else { return };
        if roof {
            let begun = if self.full.is_set(at) { column.row } else { self.met };
            let surface = (layer, self.met.layers - begun.layers);
            let thickness_mm = self.met.thickness_mm - begun.thickness_mm;
            self.roofs.entry(surface).or_default().add(place, thickness_mm, z_mm);
        }
        if column.floor {
            let surface = (column.floor_layer as usize, column.floor_row);
            self.floors.entry(surface).or_default().add(place, column.floor_row_mm, column.floor_z_mm);
        }
    }
}

fn side(surfaces: &Surfaces, cell_mm2: f64) -> SkinSide {
    let patches: Vec<SkinPatch> = surfaces
        .iter()
        .filter_map(|(&(surface_layer, layers), found)| {
            Some(SkinPatch {
                layers,
                thickness_mm: found.thickness_mm / found.count as f64,
                area_mm2: found.count as f64 * cell_mm2,
                surface_layer,
                z_mm: found.z_mm,
                at: found.place()?,
            })
        })
        .filter(|p| p.area_mm2 >= NOISE_MM2)
        .collect();
    let mut by_layers: BTreeMap<u32, f64> = BTreeMap::new();
    for patch in &patches {
        *by_layers.entry(patch.layers).or_default() += patch.area_mm2;
    }
    // A wall or a solid neck that stands over a core is a full row too, but no skin to compare others with.
    let counts = by_layers.iter().filter(|(_, area)| **area >= LEAST_PATCH_MM2);
    let skins = counts.clone().filter(|(layers, _)| **layers <= MOST_SKIN_LAYERS);
    let most = |counts: &mut dyn Iterator<Item = (&u32, &f64)>| counts.max_by(|a, b| a.1.total_cmp(b.1)).map(|c| *c.0);
    let layers = most(&mut skins.into_iter()).or_else(|| most(&mut counts.into_iter()));
    let thinnest = patches
        .iter()
        .filter(|p| p.area_mm2 >= LEAST_PATCH_MM2)
        .min_by(|a, b| a.layers.cmp(&b.layers).then(b.area_mm2.total_cmp(&a.area_mm2)))
        .copied();
    SkinSide { layers, thinnest, patches }
}

/// Which columns of those `inside` meet a full place: a wall, a skin, a bridge; with lone gaps between such places
/// closed: a column between fill and wall may miss both.
fn full_columns(inside: &BitPlan, layer: &Layer, roles: &[Role]) -> BitPlan {
    let mut marks = inside.like();
    for strand in part_strands(layer, roles).filter(is_full) {
        for mut strip in strand.strips(layer.height_mm) {
            strip.width_mm *= DRAWN_WIDER;
            marks.draw_strip(&strip);
        }
    }
    let mut full = marks.without_lone_gaps();
    full.keep(inside);
    full
}

/// Whether the strand is laid against its neighbours without gaps.
fn is_full(strand: &PartStrand<'_>) -> bool {
    !matches!(strand.role, Role::SparseInfill | Role::Unknown)
}

#[cfg(test)]
#[path = "skins_tests.rs"]
mod tests;
