//! A load case against a part: every mode that applies, the weakest first.

use super::across::{self, Stops};
use super::allow::Allowable;
use super::along::{self, Beam};
use super::capacity::{Capacity, CaseResult, Mode};
use super::pressed::{pressed, pressed_side};
use super::{pull_out, twist};
use crate::geom::Point;
use crate::measure::{Looks, MeasureError, PrintMeasures, Probe, Probed, Setup, SideWindow, measure_probes};
use crate::profile::{Axis, CaseKind, Face, Insert, LoadCase, LoadCases, Material};
use crate::shape::{Cut, Patch, PatchShape, SLAB_MM};
use crate::units::significant;

/// A slab is at least this many pitches of the core thick, so that it meets every family of lines.
const PITCHES_IN_SLAB: f64 = 1.5;

/// Judges every case; reads the file again where a patch has to be followed.
///
/// `bytes` is the file that `measures` came from; `wanted` the reserve asked on low values.
///
/// # Errors
/// As for measuring the file.
pub fn check_cases(
    bytes: &[u8],
    setup: &Setup,
    measures: &PrintMeasures,
    cases: &LoadCases,
    wanted: f64,
) -> Result<Vec<CaseResult>, MeasureError> {
    judge_cases(setup, measures, cases, wanted, |probes| measure_probes(bytes, setup, probes))
}

/// As [`check_cases`], with another way to look at the places that loads act on.
///
/// # Errors
/// As `look`.
pub fn judge_cases(
    setup: &Setup,
    measures: &PrintMeasures,
    cases: &LoadCases,
    wanted: f64,
    look: impl FnOnce(&[Probe]) -> Result<Vec<Probed>, MeasureError>,
) -> Result<Vec<CaseResult>, MeasureError> {
    let part = Part { measures, material: chief_material(measures, setup) };
    let asked: Vec<Result<Option<Probe>, String>> = cases.case.iter().map(|case| part.probe(case)).collect();
    let probes: Vec<Probe> = asked.iter().filter_map(|p| p.as_ref().ok().copied().flatten()).collect();
    let mut found = if probes.is_empty() { Vec::new() } else { look(&probes)? }.into_iter();
    let judged = cases.case.iter().zip(&asked).map(|(case, asked)| match asked {
        Ok(probe) => {
            let probed = probe.and_then(|probe| found.next().map(|found| (probe, found)));
            part.judge(case, probed.as_ref(), wanted)
        }
        Err(reason) => part.unknown(case, wanted, reason.clone()),
    });
    Ok(judged.collect())
}

/// What has to be measured of a part beyond its layers' own numbers, so that these cases can be judged.
#[must_use]
pub fn looks_of(cases: &LoadCases) -> Looks {
    let acts_on_a_place = |kind| matches!(kind, CaseKind::Press | CaseKind::Bearing | CaseKind::PullOut);
    let along = |axis| {
        let runs = |case: &&LoadCase| matches!(case.kind, CaseKind::Pull | CaseKind::Bend | CaseKind::Twist);
        cases.case.iter().filter(runs).any(|case| case.axis == Some(axis))
    };
    Looks { places: cases.case.iter().any(|case| acts_on_a_place(case.kind)), cuts: [along(Axis::X), along(Axis::Y)] }
}

/// The material that most of the part is laid of.
fn chief_material<'a>(measures: &PrintMeasures, setup: &'a Setup) -> Option<&'a Material> {
    let chief = measures.tools.iter().max_by(|a, b| a.volume_mm3.total_cmp(&b.volume_mm3))?;
    setup.material(chief.tool)
}

/// A part and what it is made of.
struct Part<'a> {
    measures: &'a PrintMeasures,
    material: Option<&'a Material>,
}

/// Modes of a case, and what to say beside them.
type Modes = (Vec<Capacity>, Vec<String>);

impl Part<'_> {
    fn unknown(&self, case: &LoadCase, wanted: f64, reason: String) -> CaseResult {
        CaseResult {
            name: case.name.clone(),
            load: load_of(case),
            is_torque: case.kind == CaseKind::Twist,
            wanted,
            material: self.material.map(|m| m.name.clone()).unwrap_or_default(),
            capacities: Vec::new(),
            remarks: Vec::new(),
            undetermined: Some(reason),
        }
    }

    fn judge(&self, case: &LoadCase, probed: Option<&(Probe, Probed)>, wanted: f64) -> CaseResult {
        let Some(material) = self.material else {
            return self.unknown(case, wanted, "no material is named: give --material".to_owned());
        };
        let Some(allow) = Allowable::new(material, case) else {
            return self.unknown(case, wanted, format!("the card of {} has no strengths", material.name));
        };
        let modes = match case.kind {
            CaseKind::Press | CaseKind::Bearing => self.press(case, probed, &allow),
            CaseKind::Pull => self.pull(case, &allow),
            CaseKind::Bend => self.bend(case, &allow),
            CaseKind::Twist => self.twist(case, &allow),
            CaseKind::PullOut => self.pull_out(case, probed, &allow),
            CaseKind::Lift | CaseKind::Person | CaseKind::Pressure => Err("refused".to_owned()),
        };
        let (mut capacities, mut remarks) = match modes {
            Ok(modes) => modes,
            Err(reason) => return self.unknown(case, wanted, reason),
        };
        // Not a number is no strength: such a mode comes first and cannot pass.
        capacities.sort_by(|a, b| a.bears.low.total_cmp(&b.bears.low));
        if capacities.iter().any(|c| !c.bears.low.is_finite()) || capacities.is_empty() {
            return self.unknown(case, wanted, "the part has no section that this load can be set against".to_owned());
        }
        remarks.splice(0..0, allow.remarks);
        if self.measures.tools.iter().filter(|t| t.volume_mm3 > 0.0).count() > 1 {
            remarks.push(format!("several tools lay this part; it was judged as all of {}", material.name));
        }
        CaseResult { capacities, remarks, undetermined: None, ..self.unknown(case, wanted, String::new()) }
    }

    fn box_mm(&self) -> Result<[[f64; 3]; 2], String> {
        self.measures.part.bbox_mm.ok_or_else(|| "the part has no outline".to_owned())
    }

    fn stops(&self) -> Stops {
        Stops(self.measures.stops.iter().filter_map(|s| s.after_layer).collect())
    }

    /// Slabs along an axis, thick enough for the core's pitch.
    fn slabs(&self, axis: Axis) -> Vec<Cut> {
        let part = &self.measures.part;
        let core = part.bead_width_mm.zip(part.core_density);
        let thickness = core.map_or(SLAB_MM, |(width_mm, density)| slab_mm(width_mm, density));
        match axis {
            Axis::X => self.measures.cuts[0].slabs(thickness),
            _ => self.measures.cuts[1].slabs(thickness),
        }
    }

    /// What has to be looked at again for a case.
    fn probe(&self, case: &LoadCase) -> Result<Option<Probe>, String> {
        match case.kind {
            CaseKind::Press | CaseKind::Bearing => self.face_probe(case).map(Some),
            CaseKind::PullOut => {
                let insert = insert_of(case)?;
                let pocket =
                    pull_out::pocket_of(&self.measures.pockets, &insert, case.at_mm.map(|[x, y]| Point::new(x, y)))?;
                Ok(pull_out::plan_of(&insert, pocket).map(Probe::Plan))
            }
            _ => Ok(None),
        }
    }

    fn face_probe(&self, case: &LoadCase) -> Result<Probe, String> {
        let [low, high] = self.box_mm()?;
        let axes = match case.face.axis() {
            Axis::Z => [0, 1],
            Axis::X => [1, 2],
            Axis::Y => [0, 2],
        };
        let middle = axes.map(|a| 0.5 * (low[a] + high[a]));
        let whole = axes.map(|a| high[a] - low[a]);
        let at = case.at_mm.unwrap_or(middle);
        if case.face.axis() == Axis::Z {
            return Ok(Probe::Plan(Patch { shape: patch_shape(case, whole), centre: Point::new(at[0], at[1]) }));
        }
        let size = match patch_shape(case, whole) {
            PatchShape::Box { x_mm, y_mm } => [x_mm, y_mm],
            // A round patch by the square of its area.
            PatchShape::Disc { diameter_mm } => [diameter_mm * std::f64::consts::FRAC_PI_4.sqrt(); 2],
            PatchShape::Ring { .. } => {
                return Err("a ring on a side face is not reckoned: give disc_mm or box_mm".to_owned());
            }
        };
        let spread = self.measures.part.wall_thickness_mm.map_or(0.0, |w| w.median);
        let range = |i: usize| [at[i] - 0.5 * size[i] - spread, at[i] + 0.5 * size[i] + spread];
        Ok(Probe::Side(SideWindow { face: case.face, along_mm: range(0), z_mm: range(1) }))
    }

    fn press(&self, case: &LoadCase, probed: Option<&(Probe, Probed)>, allow: &Allowable) -> Result<Modes, String> {
        let mode = if case.kind == CaseKind::Bearing { Mode::Bearing } else { Mode::PressedFace };
        let whole = case.ring_mm.is_none() && case.disc_mm.is_none() && case.box_mm.is_none();
        match probed {
            Some((Probe::Plan(patch), Probed::Plan(layers))) => {
                let side = match case.face {
                    Face::Bottom => &self.measures.part.skins.bottom,
                    _ => &self.measures.part.skins.top,
                };
                let height = self.measures.part.layer_height_mm;
                let skin = side.layers.zip(height).map(|(layers, height)| f64::from(layers) * height);
                let measures = &self.measures.layers;
                let face = pressed(patch, layers, measures, (case.face, whole), skin, mode, allow)?;
                let mut capacities = face.capacities;
                if case.kind == CaseKind::Press {
                    let [low, high] = self.box_mm()?;
                    let between = match case.face {
                        Face::Top => [low[2], face.face_z_mm],
                        _ => [face.face_z_mm, high[2]],
                    };
                    let layers = &self.measures.layers;
                    // A place that was named counts, whatever size was.
                    let push_at = if case.at_mm.is_some() { patch.centre } else { face.middle };
                    capacities.extend(across::crush(layers, between, Some(push_at), allow));
                    capacities.extend(across::column(layers, between, allow));
                }
                let mut remarks = face.remarks;
                if case.kind == CaseKind::Press {
                    remarks.push("the other side is taken to rest flat on something firm".to_owned());
                }
                Ok((capacities, remarks))
            }
            Some((Probe::Side(window), Probed::Side(cuts))) => {
                let width = (window.along_mm[1] - window.along_mm[0]).min(window.z_mm[1] - window.z_mm[0]);
                let middle = 0.5 * (window.z_mm[0] + window.z_mm[1]);
                let slabs = cuts.slabs(SLAB_MM);
                let side = pressed_side(&slabs, case.face, width, middle, allow)?;
                Ok((vec![side], vec!["the opposite side is taken to rest on something firm".to_owned()]))
            }
            _ => Err("the place of the load could not be looked at".to_owned()),
        }
    }

    fn pull(&self, case: &LoadCase, allow: &Allowable) -> Result<Modes, String> {
        let axis = case.axis.ok_or("the case has no axis")?;
        let [low, high] = self.box_mm()?;
        let capacity = if axis == Axis::Z {
            let between = case.span_mm.unwrap_or([low[2], high[2]]);
            across::pull(&self.measures.layers, between, allow, &self.stops())
        } else {
            let slabs = self.slabs(axis);
            let between: Vec<Cut> = match case.span_mm {
                Some([from, to]) => slabs.into_iter().filter(|c| (from..=to).contains(&c.at_mm)).collect(),
                None => slabs,
            };
            along::pull(&between, axis, allow)
        };
        let nothing = || "the pull meets no plastic along its span".to_owned();
        Ok((
            vec![capacity.ok_or_else(nothing)?],
            vec!["sharp inside corners were not looked at: they start cracks".to_owned()],
        ))
    }

    fn bend(&self, case: &LoadCase, allow: &Allowable) -> Result<Modes, String> {
        let beam = self.beam(case)?;
        if beam.axis == Axis::Z {
            let capacity = across::bend(&self.measures.layers, &beam, allow, &self.stops());
            return Ok((capacity.into_iter().collect(), Vec::new()));
        }
        let slabs = self.slabs(beam.axis);
        let mut remarks = Vec::new();
        if let (Some(stiff), Some(force)) = (allow.stiff_along, case.force_n)
            && let Some(mm) = beam.deflection_mm(&slabs, force, stiff.typical, allow.poisson)
        {
            remarks.push(format!("it gives about {} mm where the load acts", significant(mm, 2)));
        }
        Ok((beam.capacities(&slabs, allow), remarks))
    }

    fn beam(&self, case: &LoadCase) -> Result<Beam, String> {
        let (axis, direction) =
            (case.axis.ok_or("the case has no axis")?, case.direction.ok_or("the case has no direction")?);
        let [low, high] = self.box_mm()?;
        let along = match axis {
            Axis::X => 0,
            Axis::Y => 1,
            Axis::Z => 2,
        };
        let span_mm = case.span_mm.unwrap_or([low[along], high[along]]);
        let usual = match case.held {
            crate::profile::Held::LowEnd => span_mm[1],
            crate::profile::Held::HighEnd => span_mm[0],
            crate::profile::Held::BothEnds => 0.5 * (span_mm[0] + span_mm[1]),
        };
        let load_at_mm = case.load_at_mm.unwrap_or(usual);
        if !(span_mm[0]..=span_mm[1]).contains(&load_at_mm) {
            return Err(format!("the load at {} mm acts outside of the span", significant(load_at_mm, 4)));
        }
        Ok(Beam { axis, direction, held: case.held, span_mm, load_at_mm })
    }

    fn twist(&self, case: &LoadCase, allow: &Allowable) -> Result<Modes, String> {
        let capacity = match case.axis.unwrap_or(Axis::Z) {
            Axis::Z => {
                let skins = &self.measures.part.skins;
                let ends = skins.top.layers.is_some_and(|n| n > 0) && skins.bottom.layers.is_some_and(|n| n > 0);
                twist::about_z(&self.measures.layers, ends, allow)?
            }
            axis => twist::about_axis(&self.slabs(axis), axis, allow),
        };
        Ok((capacity.into_iter().collect(), Vec::new()))
    }

    fn pull_out(&self, case: &LoadCase, probed: Option<&(Probe, Probed)>, allow: &Allowable) -> Result<Modes, String> {
        let insert = insert_of(case)?;
        let pocket = pull_out::pocket_of(&self.measures.pockets, &insert, case.at_mm.map(|[x, y]| Point::new(x, y)))?;
        let Some((_, Probed::Plan(layers))) = probed else { return Err("the roof could not be looked at".to_owned()) };
        Ok((pull_out::pull_out(&insert, pocket, layers, allow)?, Vec::new()))
    }
}

/// How thick a slab has to be to meet every family of lines of a core.
fn slab_mm(width_mm: f64, density: f64) -> f64 {
    let pitch_mm = width_mm / density.max(0.05);
    (PITCHES_IN_SLAB * pitch_mm).clamp(SLAB_MM, 4.0 * SLAB_MM)
}

fn load_of(case: &LoadCase) -> f64 {
    case.torque_n_mm.or(case.force_n).unwrap_or(f64::NAN)
}

fn insert_of(case: &LoadCase) -> Result<Insert, String> {
    let name = case.insert.as_deref().ok_or("the case does not say which insert is pulled: add insert")?;
    Insert::load(name).map_err(|e| e.to_string())
}

/// The patch that a case names; the whole face where it names none.
fn patch_shape(case: &LoadCase, whole: [f64; 2]) -> PatchShape {
    match (case.ring_mm, case.disc_mm, case.box_mm) {
        (Some([inner_mm, outer_mm]), _, _) => PatchShape::Ring { inner_mm, outer_mm },
        (None, Some(diameter_mm), _) => PatchShape::Disc { diameter_mm },
        (None, None, Some([x_mm, y_mm])) => PatchShape::Box { x_mm, y_mm },
        (None, None, None) => PatchShape::Box { x_mm: whole[0], y_mm: whole[1] },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // Lines 0.5 mm wide of a core that is a fifth full lie 2.5 mm apart: a slab of one pitch and a half is 3.75 mm thick. No slab
    // is thinner than 2 mm, and none thicker than 8 mm: there it would hide a weak place.
    #[test]
    fn a_slab_is_as_thick_as_the_cores_lines_lie_apart() {
        assert_relative_eq!(slab_mm(0.5, 0.2), 3.75, max_relative = 1e-12);
        assert_relative_eq!(slab_mm(0.4, 0.15), 4.0, max_relative = 1e-12);
        assert_eq!([slab_mm(0.5, 1.0), slab_mm(0.5, 0.4)], [2.0, 2.0]);
        assert_eq!([slab_mm(0.5, 0.08), slab_mm(0.5, 0.0)], [8.0, 8.0]);
    }
}
