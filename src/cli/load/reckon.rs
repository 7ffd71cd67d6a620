//! From what was said to the job's load.

use super::super::outcome::Trouble;
use super::super::shop::ShopDefaults;
use super::arguments::{
    BendArguments, BoltArguments, FlangeArguments, Form, Job, MagnetArguments, Nose, PressFitArguments, PunchArguments,
    ScrewArguments,
};
use super::said;
use beadwise::profile::{Metal, Spread};
use beadwise::strength::load::{
    Bend, Bolt, BoltSize, BoreTorque, DiscMagnet, Flange, FlangePunch, JobLoad, Lever, MagnetField, PressFit, Punch,
    Screw, ScrewDrive, Thread, ThreadForm,
};
use beadwise::units::{Length, Stress};

/// The load that a job puts on a part.
pub(super) fn reckon(job: &Job, shop: &ShopDefaults) -> Result<JobLoad, Trouble> {
    match job {
        Job::Flange(a) => flange(a),
        Job::Punch(a) => punch(a),
        Job::Bend(a) => bend(a),
        Job::Screw(a) => screw(a),
        Job::Bolt(a) => bolt(a),
        Job::Lever(a) => {
            let force_n = Spread::exactly(a.force.newtons());
            Lever { force_n, arm_mm: a.arm.mm(), acts_at_mm: a.acts_at.mm() }.load().map_err(said)
        }
        Job::Torque(a) => {
            let torque_n_mm = Spread::exactly(a.torque.n_mm());
            BoreTorque { torque_n_mm, diameter_mm: a.diameter.mm() }.load().map_err(said)
        }
        Job::PressFit(a) => press_fit(a, shop),
        Job::Magnet(a) => magnet(a),
    }
}

fn flange(a: &FlangeArguments) -> Result<JobLoad, Trouble> {
    let metal = a.sheet.metal()?;
    let yield_mpa = a.sheet.strength(a.yielding, "--yield", metal.as_ref(), |m| m.yield_mpa)?;
    let punch = match a.punch {
        Nose::Flat => FlangePunch::Flat,
        Nose::Cone => FlangePunch::Cone,
    };
    if a.hole.is_none() && !a.no_hole {
        return Err(said("give --hole, the hole before flanging, or --no-hole where the punch tears the sheet open"));
    }
    let load = Flange {
        thickness_mm: a.sheet.thickness_mm(metal.as_ref())?,
        yield_mpa,
        diameter_mm: a.diameter.mm(),
        hole_mm: a.hole.map_or(0.0, Length::mm),
        pierced: !a.no_hole,
        punch,
    };
    Ok(with_note(load.load().map_err(said)?, metal.as_ref()))
}

fn punch(a: &PunchArguments) -> Result<JobLoad, Trouble> {
    let metal = a.sheet.metal()?;
    let shear = a.sheet.strength(a.shear, "--shear", metal.as_ref(), Metal::shear_mpa)?;
    let thickness = a.sheet.thickness_mm(metal.as_ref())?;
    let diameter_mm = a.diameter.map(Length::mm);
    let round = Punch::round(thickness, shear, diameter_mm.unwrap_or(0.0));
    let cut_mm = a.cut.map_or(round.cut_mm, Length::mm);
    let clearance_share = a.clearance_share.or_else(|| metal.as_ref().and_then(|m| m.clearance_share));
    let cut = Punch { cut_mm, diameter_mm, clearance_share, ..round };
    Ok(with_note(cut.load().map_err(said)?, metal.as_ref()))
}

fn bend(a: &BendArguments) -> Result<JobLoad, Trouble> {
    let metal = a.sheet.metal()?;
    let tensile_mpa = a.sheet.strength(a.tensile, "--tensile", metal.as_ref(), |m| m.tensile_mpa)?;
    let thickness_mm = a.sheet.thickness_mm(metal.as_ref())?;
    let opening_mm = a.opening.map_or(8.0 * thickness_mm, Length::mm);
    let stroke_mm = a.stroke.map(Length::mm);
    let bend = Bend { thickness_mm, tensile_mpa, length_mm: a.length.mm(), opening_mm, stroke_mm };
    Ok(with_note(bend.load().map_err(said)?, metal.as_ref()))
}

/// What to mind with the metal goes with what to mind about the job.
fn with_note(mut load: JobLoad, metal: Option<&Metal>) -> JobLoad {
    if let Some(metal) = metal {
        let note = metal.note.as_deref().map_or_else(String::new, |note| format!("; {note}"));
        load.minds.push(format!("{}{note} ({})", metal.name, metal.source.as_deref().unwrap_or("no source")));
    }
    load
}

fn screw(a: &ScrewArguments) -> Result<JobLoad, Trouble> {
    let form = match a.form {
        Form::Square => ThreadForm::Square,
        Form::Acme => ThreadForm::Acme,
        Form::Trapezoidal => ThreadForm::Trapezoidal,
        Form::Vee => ThreadForm::Vee,
    };
    let mut thread = match (&a.thread, a.diameter, a.pitch) {
        (Some(name), _, _) => Thread::named(name).ok_or_else(|| {
            said(format!("`{name}` is no thread; write Tr20x4 or M10, or give --diameter and --pitch"))
        })?,
        (None, Some(diameter), Some(pitch)) => Thread::new(diameter.mm(), pitch.mm(), 1, form),
        _ => return Err(said("give --thread, or --diameter and --pitch")),
    };
    thread.lead_mm *= f64::from(a.starts);
    if let Some(mean) = a.mean {
        thread.mean_mm = mean.mm();
    }
    let drive = match (a.torque, a.hand, a.handle) {
        (Some(torque), _, _) => ScrewDrive::Torque(torque.n_mm()),
        (None, Some(hand), Some(handle)) => ScrewDrive::Hand { force_n: hand.newtons(), handle_mm: handle.mm() },
        _ => return Err(said("give --torque, or --hand and --handle")),
    };
    let friction = a.friction.map_or(Screw::USUAL_FRICTION, Spread::exactly);
    Screw { thread, friction, collar_mm: a.collar.mm(), drive }.load().map_err(said)
}

fn bolt(a: &BoltArguments) -> Result<JobLoad, Trouble> {
    let size = BoltSize::named(&a.size)
        .ok_or_else(|| said(format!("`{}` is no bolt size; write M10, or M7x1 with its pitch", a.size)))?;
    let (proof_mpa, washer_mm) = (a.proof.map(Stress::mpa), a.washer.map(Length::mm));
    Bolt { size, torque_n_mm: a.torque.n_mm(), factor: a.factor, proof_mpa, washer_mm }.load().map_err(said)
}

fn press_fit(a: &PressFitArguments, shop: &ShopDefaults) -> Result<JobLoad, Trouble> {
    let (stiffness_mpa, poisson) = match (a.stiffness, &a.material) {
        (Some(stiffness), _) => (Spread::exactly(stiffness.mpa()), 0.35),
        (None, Some(name)) => {
            let material = shop.material(name)?;
            let stiffness =
                material.stiffness_mpa.ok_or_else(|| said(format!("{name} has no stiffness on its card")))?;
            let (low, typical) = (stiffness.along.low, stiffness.along.typical);
            (Spread { low, likely: typical, high: typical }, stiffness.poisson)
        }
        (None, None) => return Err(said("give --material, or --stiffness")),
    };
    let fit = PressFit {
        diameter_mm: a.diameter.mm(),
        interference_mm: a.interference.mm(),
        hub_mm: a.hub.mm(),
        length_mm: a.length.mm(),
        stiffness_mpa,
        poisson,
        piece: PressFit::STEEL,
        friction: a.friction.map_or(PressFit::USUAL_FRICTION, Spread::exactly),
    };
    fit.load().map_err(said)
}

/// N35 to N42, which is what is sold as a plain magnet (trade table).
const USUAL_REMANENCE: Spread = Spread { low: 1.17, likely: 1.25, high: 1.32 };

fn magnet(a: &MagnetArguments) -> Result<JobLoad, Trouble> {
    let field = match (a.field, a.area, a.diameter, a.height) {
        (Some(field), Some(area), _, _) => MagnetField::Field { field_t: Spread::exactly(field), area_mm2: area.mm2() },
        (Some(field), None, Some(d), _) => {
            let area_mm2 = std::f64::consts::FRAC_PI_4 * d.mm() * d.mm();
            MagnetField::Field { field_t: Spread::exactly(field), area_mm2 }
        }
        (None, _, Some(d), Some(h)) => MagnetField::Disc(DiscMagnet {
            diameter_mm: d.mm(),
            height_mm: h.mm(),
            remanence_t: a.remanence.map_or(USUAL_REMANENCE, Spread::exactly),
            gap_mm: a.gap.mm(),
        }),
        _ => return Err(said("give --diameter and --height, or --field and --area")),
    };
    field.load().map_err(said)
}
