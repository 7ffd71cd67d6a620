//! `beadwise load`: from the job to a force.

use super::outcome::{Outcome, Trouble};
use super::shop::ShopDefaults;
use super::terminal::Terminal;
use beadwise::profile::{Metal, Spread};
use beadwise::report::{load_json, wrap};
use beadwise::strength::load::{
    Bend, Bolt, BoltSize, BoreTorque, CAUTIONS, DiscMagnet, Flange, FlangePunch, JobLoad, Lever, MagnetField, PressFit,
    Punch, Screw, ScrewDrive, Thread, ThreadForm,
};
use beadwise::units::{Area, Force, Length, Stress, System, Torque};
use clap::{Args, Subcommand, ValueEnum};
use std::fmt::Write;

/// `beadwise load`.
#[derive(Debug, Clone, Args)]
#[command(after_help = EXAMPLES)]
pub struct LoadArguments {
    /// Which job.
    #[command(subcommand)]
    job: Job,
    /// Text for people, JSON for programs, or only the load case as TOML.
    #[arg(long, value_enum, default_value = "text", global = true)]
    format: LoadFormat,
}

const EXAMPLES: &str = "\
Quantities take any unit: \"1 mm\", \"1/2 in\", \"12 kN\", \"30 lbf\", \"2.5 tonf\", \"200 MPa\", \"36 ksi\", \"40 N m\".
A bare number is in mm, N, MPa or N mm.

Examples:
  beadwise load flange --gauge 18 --metal mild-steel --diameter \"1 in\" --hole \"5/8 in\"
  beadwise load screw --thread Tr20x4 --hand \"200 N\" --handle \"200 mm\" --collar \"25 mm\"
  beadwise load flange --thickness 1 --yield \"200 MPa\" --diameter 20 --hole 12 --format case";

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum LoadFormat {
    /// For people.
    Text,
    /// For programs.
    Json,
    /// The load case alone, to paste or to pipe.
    Case,
}

/// The jobs.
#[derive(Debug, Clone, Subcommand)]
enum Job {
    /// Flange or dimple a hole in sheet.
    Flange(FlangeArguments),
    /// Punch or blank sheet.
    Punch(PunchArguments),
    /// Bend sheet in a V die.
    Bend(BendArguments),
    /// Clamp with a vice or a screw.
    Screw(ScrewArguments),
    /// Pull up a bolt.
    Bolt(BoltArguments),
    /// Push or weigh on a lever.
    Lever(LeverArguments),
    /// Turn something in a bore.
    Torque(TorqueArguments),
    /// Press a pin or bearing into a printed bore.
    PressFit(PressFitArguments),
    /// Pull on a magnet.
    Magnet(MagnetArguments),
}

/// Sheet by its thickness, or by gauge and metal.
#[derive(Debug, Clone, Args)]
struct SheetArguments {
    /// Thickness of the sheet.
    #[arg(long, value_name = "LENGTH", conflicts_with = "gauge")]
    thickness: Option<Length>,
    /// Gauge number of the sheet; needs --metal, since one number is five thicknesses.
    #[arg(long, value_name = "NUMBER")]
    gauge: Option<u32>,
    /// Metal of the sheet (see `beadwise profiles show metals`).
    #[arg(long, value_name = "NAME")]
    metal: Option<String>,
}

impl SheetArguments {
    fn metal(&self) -> Result<Option<Metal>, Trouble> {
        Ok(self.metal.as_deref().map(Metal::load).transpose()?)
    }

    fn thickness_mm(&self, metal: Option<&Metal>) -> Result<f64, Trouble> {
        match (self.thickness, self.gauge, metal) {
            (Some(thickness), _, _) => Ok(thickness.mm()),
            (None, Some(gauge), Some(metal)) => metal.gauge_mm(gauge).map_err(said),
            (None, Some(gauge), None) => Err(Trouble::Arguments(format!(
                "gauge {gauge} is another thickness in every metal: add --metal, or give --thickness"
            ))),
            (None, None, _) => Err(Trouble::Arguments("give --thickness, or --gauge and --metal".to_owned())),
        }
    }

    /// A strength as asked, or the metal's.
    fn strength(
        &self,
        asked: Option<Stress>,
        option: &str,
        metal: Option<&Metal>,
        of: impl Fn(&Metal) -> Spread,
    ) -> Result<Spread, Trouble> {
        match (asked, metal) {
            (Some(stress), _) => Ok(Spread::exactly(stress.mpa())),
            (None, Some(metal)) => Ok(of(metal)),
            (None, None) => Err(Trouble::Arguments(format!("give {option}, or --metal"))),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Nose {
    /// A cylinder with a flat end.
    Flat,
    /// A cone or a ball.
    Cone,
}

#[derive(Debug, Clone, Args)]
struct FlangeArguments {
    #[command(flatten)]
    sheet: SheetArguments,
    /// Yield strength of the sheet.
    #[arg(long = "yield", value_name = "STRESS")]
    yielding: Option<Stress>,
    /// Mean diameter of the finished flange.
    #[arg(long, value_name = "LENGTH")]
    diameter: Length,
    /// Diameter of the hole before.
    #[arg(long, value_name = "LENGTH")]
    hole: Option<Length>,
    /// No hole is made before: the punch tears the sheet open.
    #[arg(long)]
    no_hole: bool,
    /// Nose of the punch.
    #[arg(long, value_enum, default_value = "flat")]
    punch: Nose,
}

#[derive(Debug, Clone, Args)]
struct PunchArguments {
    #[command(flatten)]
    sheet: SheetArguments,
    /// Shear strength of the sheet.
    #[arg(long, value_name = "STRESS")]
    shear: Option<Stress>,
    /// Diameter of a round cut.
    #[arg(long, value_name = "LENGTH", conflicts_with = "cut", required_unless_present = "cut")]
    diameter: Option<Length>,
    /// Length of a cut of any shape.
    #[arg(long, value_name = "LENGTH")]
    cut: Option<Length>,
    /// Clearance on each side as a share of the thickness: 0.045 soft aluminium, 0.06 soft steel, 0.075 half-hard.
    #[arg(long, value_name = "SHARE")]
    clearance_share: Option<f64>,
}

#[derive(Debug, Clone, Args)]
struct BendArguments {
    #[command(flatten)]
    sheet: SheetArguments,
    /// Tensile strength of the sheet.
    #[arg(long, value_name = "STRESS")]
    tensile: Option<Stress>,
    /// Length of the bend.
    #[arg(long, value_name = "LENGTH")]
    length: Length,
    /// Opening of the V die; 8 thicknesses if not given.
    #[arg(long, value_name = "LENGTH")]
    opening: Option<Length>,
    /// Stroke of the punch, for the work.
    #[arg(long, value_name = "LENGTH")]
    stroke: Option<Length>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Square,
    Acme,
    Trapezoidal,
    Vee,
}

#[derive(Debug, Clone, Args)]
struct ScrewArguments {
    /// Thread by name, such as Tr20x4 or M10.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["diameter", "pitch"], required_unless_present_all = ["diameter", "pitch"])]
    thread: Option<String>,
    /// Outer diameter of the thread.
    #[arg(long, value_name = "LENGTH", requires = "pitch")]
    diameter: Option<Length>,
    /// Pitch of the thread.
    #[arg(long, value_name = "LENGTH", requires = "diameter")]
    pitch: Option<Length>,
    /// Mean diameter of the thread, if it is not diameter less half a pitch.
    #[arg(long, value_name = "LENGTH")]
    mean: Option<Length>,
    /// Starts of the thread.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    starts: u32,
    /// Shape of the thread, with --diameter.
    #[arg(long, value_enum, default_value = "square")]
    form: Form,
    /// Friction in the thread and under the collar; 0.10 to 0.20 if not given.
    #[arg(long, value_name = "NUMBER")]
    friction: Option<f64>,
    /// Mean diameter of the collar the screw turns on.
    #[arg(long, value_name = "LENGTH", default_value = "0 mm")]
    collar: Length,
    /// Torque on the screw.
    #[arg(long, value_name = "TORQUE", conflicts_with = "hand", required_unless_present = "hand")]
    torque: Option<Torque>,
    /// Force of the hand on the handle.
    #[arg(long, value_name = "FORCE", requires = "handle")]
    hand: Option<Force>,
    /// Length of the handle from the screw's axis.
    #[arg(long, value_name = "LENGTH", requires = "hand")]
    handle: Option<Length>,
}

#[derive(Debug, Clone, Args)]
struct BoltArguments {
    /// Size, such as M10 or M10x1.25.
    #[arg(long, value_name = "NAME")]
    size: String,
    /// Torque on it.
    #[arg(long, value_name = "TORQUE")]
    torque: Torque,
    /// Torque factor K.
    #[arg(long, value_name = "NUMBER", default_value_t = Bolt::PLAIN_STEEL)]
    factor: f64,
    /// Proof strength, such as 600 MPa for class 8.8.
    #[arg(long, value_name = "STRESS")]
    proof: Option<Stress>,
    /// Outer diameter of the washer.
    #[arg(long, value_name = "LENGTH")]
    washer: Option<Length>,
}

#[derive(Debug, Clone, Args)]
struct LeverArguments {
    /// Force on the long arm.
    #[arg(long, value_name = "FORCE")]
    force: Force,
    /// Its distance from the pivot.
    #[arg(long, value_name = "LENGTH")]
    arm: Length,
    /// Distance from the pivot to where the lever acts.
    #[arg(long, value_name = "LENGTH")]
    acts_at: Length,
}

#[derive(Debug, Clone, Args)]
struct TorqueArguments {
    /// Torque.
    #[arg(long, value_name = "TORQUE")]
    torque: Torque,
    /// Diameter at which it is passed on.
    #[arg(long, value_name = "LENGTH")]
    diameter: Length,
}

#[derive(Debug, Clone, Args)]
struct PressFitArguments {
    /// Diameter of the joint.
    #[arg(long, value_name = "LENGTH")]
    diameter: Length,
    /// Interference on the diameter.
    #[arg(long, value_name = "LENGTH")]
    interference: Length,
    /// Outer diameter of the printed hub.
    #[arg(long, value_name = "LENGTH")]
    hub: Length,
    /// Length of the joint.
    #[arg(long, value_name = "LENGTH")]
    length: Length,
    /// Stiffness of the hub.
    #[arg(long, value_name = "STRESS", conflicts_with = "material", required_unless_present = "material")]
    stiffness: Option<Stress>,
    /// Material of the hub: a built-in card or a TOML file.
    #[arg(long, value_name = "NAME|FILE")]
    material: Option<String>,
    /// Friction of the joint; 0.1 to 0.3 if not given.
    #[arg(long, value_name = "NUMBER")]
    friction: Option<f64>,
}

#[derive(Debug, Clone, Args)]
struct MagnetArguments {
    /// Diameter of a disc.
    #[arg(long, value_name = "LENGTH", conflicts_with = "area", required_unless_present = "area")]
    diameter: Option<Length>,
    /// Height of a disc.
    #[arg(long, value_name = "LENGTH", requires = "diameter")]
    height: Option<Length>,
    /// Remanence of the magnet, T: about 1.19 for N35, 1.30 for N42.
    #[arg(long, value_name = "TESLA")]
    remanence: Option<f64>,
    /// Plastic or air between magnet and steel.
    #[arg(long, value_name = "LENGTH", default_value = "0 mm")]
    gap: Length,
    /// Field in the gap, T, where it is known.
    #[arg(long, value_name = "TESLA", required_unless_present = "height")]
    field: Option<f64>,
    /// Area of the field, with --field.
    #[arg(long, value_name = "AREA", requires = "field")]
    area: Option<Area>,
}

fn said(error: impl std::fmt::Display) -> Trouble {
    Trouble::Arguments(error.to_string())
}

/// Reckons the job's force and prints it with its working.
pub fn run(asked: &LoadArguments, shop: &ShopDefaults, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let load = reckon(&asked.job, shop)?;
    let system = shop.units();
    terminal.answer(&match asked.format {
        LoadFormat::Text => text(&load, system),
        LoadFormat::Json => load_json(&load),
        LoadFormat::Case => load.case_toml(),
    })?;
    Ok(Outcome::Fine)
}

fn reckon(job: &Job, shop: &ShopDefaults) -> Result<JobLoad, Trouble> {
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

/// Columns of a terminal that nothing may pass.
const WIDTH: usize = 80;

fn text(load: &JobLoad, system: System) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let mut named = |name: &str, text: &str| {
        for (i, line) in wrap(text, WIDTH - 13).iter().enumerate() {
            let _ = writeln!(out, "  {:10} {line}", if i == 0 { name } else { "" });
        }
    };
    named("formula", &load.formula);
    named("source", &load.source);
    load.beside.iter().for_each(|b| named("beside", b));
    load.minds.iter().for_each(|m| named("mind", m));
    let mut head = format!("{}: {}\n", load.kind, load.force_text(system));
    if system == System::Inch {
        let _ = writeln!(head, "  in metric  {}", load.force_text(System::Metric));
    }
    out.insert_str(0, &head);
    let _ = writeln!(out, "\nLoad case to paste (it asks the highest force; check the place):");
    for line in load.case_toml().lines() {
        let _ = writeln!(out, "  {line}");
    }
    let _ = writeln!(out, "\nCautions:");
    for caution in CAUTIONS {
        for (i, line) in wrap(caution, WIDTH - 4).iter().enumerate() {
            let _ = writeln!(out, "  {} {line}", if i == 0 { "-" } else { " " });
        }
    }
    out
}
