//! What may be said of each job.

use super::super::outcome::Trouble;
use super::said;
use beadwise::profile::{Metal, Spread};
use beadwise::strength::load::Bolt;
use beadwise::units::{Area, Force, Length, Stress, Torque};
use clap::{Args, Subcommand, ValueEnum};

/// `beadwise load`.
#[derive(Debug, Clone, Args)]
#[command(after_help = EXAMPLES)]
pub struct LoadArguments {
    /// Which job.
    #[command(subcommand)]
    pub(super) job: Job,
    /// Text for people, JSON for programs, or only the load case as TOML.
    #[arg(long, value_enum, default_value = "text", global = true)]
    pub(super) format: LoadFormat,
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
pub(super) enum LoadFormat {
    /// For people.
    Text,
    /// For programs.
    Json,
    /// The load case alone, to paste or to pipe.
    Case,
}

/// The jobs.
#[derive(Debug, Clone, Subcommand)]
pub(super) enum Job {
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
pub(super) struct SheetArguments {
    /// Thickness of the sheet.
    #[arg(long, value_name = "LENGTH", conflicts_with = "gauge")]
    pub(super) thickness: Option<Length>,
    /// Gauge number of the sheet; needs --metal, since one number is five thicknesses.
    #[arg(long, value_name = "NUMBER")]
    pub(super) gauge: Option<u32>,
    /// Metal of the sheet (see `beadwise profiles show metals`).
    #[arg(long, value_name = "NAME")]
    pub(super) metal: Option<String>,
}

impl SheetArguments {
    pub(super) fn metal(&self) -> Result<Option<Metal>, Trouble> {
        Ok(self.metal.as_deref().map(Metal::load).transpose()?)
    }

    pub(super) fn thickness_mm(&self, metal: Option<&Metal>) -> Result<f64, Trouble> {
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
    pub(super) fn strength(
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
pub(super) enum Nose {
    /// A cylinder with a flat end.
    Flat,
    /// A cone or a ball.
    Cone,
}

#[derive(Debug, Clone, Args)]
pub(super) struct FlangeArguments {
    #[command(flatten)]
    pub(super) sheet: SheetArguments,
    /// Yield strength of the sheet.
    #[arg(long = "yield", value_name = "STRESS")]
    pub(super) yielding: Option<Stress>,
    /// Mean diameter of the finished flange.
    #[arg(long, value_name = "LENGTH")]
    pub(super) diameter: Length,
    /// Diameter of the hole before.
    #[arg(long, value_name = "LENGTH")]
    pub(super) hole: Option<Length>,
    /// No hole is made before: the punch tears the sheet open.
    #[arg(long)]
    pub(super) no_hole: bool,
    /// Nose of the punch.
    #[arg(long, value_enum, default_value = "flat")]
    pub(super) punch: Nose,
}

#[derive(Debug, Clone, Args)]
pub(super) struct PunchArguments {
    #[command(flatten)]
    pub(super) sheet: SheetArguments,
    /// Shear strength of the sheet.
    #[arg(long, value_name = "STRESS")]
    pub(super) shear: Option<Stress>,
    /// Diameter of a round cut.
    #[arg(long, value_name = "LENGTH", conflicts_with = "cut", required_unless_present = "cut")]
    pub(super) diameter: Option<Length>,
    /// Length of a cut of any shape.
    #[arg(long, value_name = "LENGTH")]
    pub(super) cut: Option<Length>,
    /// Clearance on each side as a share of the thickness: 0.045 soft aluminium, 0.06 soft steel, 0.075 half-hard.
    #[arg(long, value_name = "SHARE")]
    pub(super) clearance_share: Option<f64>,
}

#[derive(Debug, Clone, Args)]
pub(super) struct BendArguments {
    #[command(flatten)]
    pub(super) sheet: SheetArguments,
    /// Tensile strength of the sheet.
    #[arg(long, value_name = "STRESS")]
    pub(super) tensile: Option<Stress>,
    /// Length of the bend.
    #[arg(long, value_name = "LENGTH")]
    pub(super) length: Length,
    /// Opening of the V die; 8 thicknesses if not given.
    #[arg(long, value_name = "LENGTH")]
    pub(super) opening: Option<Length>,
    /// Stroke of the punch, for the work.
    #[arg(long, value_name = "LENGTH")]
    pub(super) stroke: Option<Length>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Form {
    Square,
    Acme,
    Trapezoidal,
    Vee,
}

#[derive(Debug, Clone, Args)]
pub(super) struct ScrewArguments {
    /// Thread by name, such as Tr20x4 or M10.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["diameter", "pitch"], required_unless_present_all = ["diameter", "pitch"])]
    pub(super) thread: Option<String>,
    /// Outer diameter of the thread.
    #[arg(long, value_name = "LENGTH", requires = "pitch")]
    pub(super) diameter: Option<Length>,
    /// Pitch of the thread.
    #[arg(long, value_name = "LENGTH", requires = "diameter")]
    pub(super) pitch: Option<Length>,
    /// Mean diameter of the thread, if it is not diameter less half a pitch.
    #[arg(long, value_name = "LENGTH")]
    pub(super) mean: Option<Length>,
    /// Starts of the thread.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub(super) starts: u32,
    /// Shape of the thread, with --diameter.
    #[arg(long, value_enum, default_value = "square")]
    pub(super) form: Form,
    /// Friction in the thread and under the collar; 0.10 to 0.20 if not given.
    #[arg(long, value_name = "NUMBER")]
    pub(super) friction: Option<f64>,
    /// Mean diameter of the collar the screw turns on.
    #[arg(long, value_name = "LENGTH", default_value = "0 mm")]
    pub(super) collar: Length,
    /// Torque on the screw.
    #[arg(long, value_name = "TORQUE", conflicts_with = "hand", required_unless_present = "hand")]
    pub(super) torque: Option<Torque>,
    /// Force of the hand on the handle.
    #[arg(long, value_name = "FORCE", requires = "handle")]
    pub(super) hand: Option<Force>,
    /// Length of the handle from the screw's axis.
    #[arg(long, value_name = "LENGTH", requires = "hand")]
    pub(super) handle: Option<Length>,
}

#[derive(Debug, Clone, Args)]
pub(super) struct BoltArguments {
    /// Size, such as M10 or M10x1.25.
    #[arg(long, value_name = "NAME")]
    pub(super) size: String,
    /// Torque on it.
    #[arg(long, value_name = "TORQUE")]
    pub(super) torque: Torque,
    /// Torque factor K.
    #[arg(long, value_name = "NUMBER", default_value_t = Bolt::PLAIN_STEEL)]
    pub(super) factor: f64,
    /// Proof strength, such as 600 MPa for class 8.8.
    #[arg(long, value_name = "STRESS")]
    pub(super) proof: Option<Stress>,
    /// Outer diameter of the washer.
    #[arg(long, value_name = "LENGTH")]
    pub(super) washer: Option<Length>,
}

#[derive(Debug, Clone, Args)]
pub(super) struct LeverArguments {
    /// Force on the long arm.
    #[arg(long, value_name = "FORCE")]
    pub(super) force: Force,
    /// Its distance from the pivot.
    #[arg(long, value_name = "LENGTH")]
    pub(super) arm: Length,
    /// Distance from the pivot to where the lever acts.
    #[arg(long, value_name = "LENGTH")]
    pub(super) acts_at: Length,
}

#[derive(Debug, Clone, Args)]
pub(super) struct TorqueArguments {
    /// Torque.
    #[arg(long, value_name = "TORQUE")]
    pub(super) torque: Torque,
    /// Diameter at which it is passed on.
    #[arg(long, value_name = "LENGTH")]
    pub(super) diameter: Length,
}

#[derive(Debug, Clone, Args)]
pub(super) struct PressFitArguments {
    /// Diameter of the joint.
    #[arg(long, value_name = "LENGTH")]
    pub(super) diameter: Length,
    /// Interference on the diameter.
    #[arg(long, value_name = "LENGTH")]
    pub(super) interference: Length,
    /// Outer diameter of the printed hub.
    #[arg(long, value_name = "LENGTH")]
    pub(super) hub: Length,
    /// Length of the joint.
    #[arg(long, value_name = "LENGTH")]
    pub(super) length: Length,
    /// Stiffness of the hub.
    #[arg(long, value_name = "STRESS", conflicts_with = "material", required_unless_present = "material")]
    pub(super) stiffness: Option<Stress>,
    /// Material of the hub: a built-in card or a TOML file.
    #[arg(long, value_name = "NAME|FILE")]
    pub(super) material: Option<String>,
    /// Friction of the joint; 0.1 to 0.3 if not given.
    #[arg(long, value_name = "NUMBER")]
    pub(super) friction: Option<f64>,
}

#[derive(Debug, Clone, Args)]
pub(super) struct MagnetArguments {
    /// Diameter of a disc.
    #[arg(long, value_name = "LENGTH", conflicts_with = "area", required_unless_present = "area")]
    pub(super) diameter: Option<Length>,
    /// Height of a disc.
    #[arg(long, value_name = "LENGTH", requires = "diameter")]
    pub(super) height: Option<Length>,
    /// Remanence of the magnet, T: about 1.19 for N35, 1.30 for N42.
    #[arg(long, value_name = "TESLA")]
    pub(super) remanence: Option<f64>,
    /// Plastic or air between magnet and steel.
    #[arg(long, value_name = "LENGTH", default_value = "0 mm")]
    pub(super) gap: Length,
    /// Field in the gap, T, where it is known.
    #[arg(long, value_name = "TESLA", required_unless_present = "height")]
    pub(super) field: Option<f64>,
    /// Area of the field, with --field.
    #[arg(long, value_name = "AREA", requires = "field")]
    pub(super) area: Option<Area>,
}
