//! Every question about a floor, declared once: its field, what it is, what it takes, and how
//! its answer moves the chance.
//!
//! A line here makes the public field of the visit (`visit.rs`), and the entry of the registry
//! that files, tables, the interview, the page and the model go through (`registry.rs`). The
//! words stand in `tables/questions.csv` and `tables/choices.csv`, the range of a number in
//! `tables/visit_limits.csv`, the unit beside its box in `tables/typed_units.csv`, the rates of
//! a weak sign in `tables/signs.csv`, each by the path or the name that is declared here; tests
//! find a row that is missing.

/// Hands every declaration to a macro.
macro_rules! declare_answers {
    ($make:ident) => {
        $make! {
            /// What is known of the slab.
            floor: Floor, floor_fields {
                /// What kind of floor it is.
                setting: words(Setting) => part of BelowGrade;
                /// Whether the slab lies below the ground outside.
                below_grade: yes_no => answers BelowGrade;
                /// The calendar year the slab was placed, or the house built.
                year_built: whole(i32) => answers Era;
                /// The day the concrete was placed, for a new slab.
                placed_date: date => part of Era;
                /// Whether there is a vapor retarder under the slab.
                retarder: words(Retarder) => answers Retarder;
                /// How the retarder is known.
                retarder_proof: words(RetarderProof) => part of Retarder;
                /// What lies on the concrete now.
                surface: words(Surface);
                /// Days since a cover was taken off.
                cover_removed_days: number;
                /// What an earlier coating did.
                prior_coating: words(PriorCoating);
                /// Whether the slab lies on gravel.
                gravel_base: yes_no => answers GravelBase;
                /// Whether the slab has heating in it.
                heated_slab: yes_no;
                /// Whether the slab has post-tension tendons.
                tendons: yes_no;
                /// The slab's thickness, in mm in the file.
                thickness: measured(Meters as "_mm" per 1_000.0 by length_from_text in "m" such as "\"4in\" or \"100mm\"");
                /// Water over cement of the mix by weight, where the ticket or the plant tells it.
                water_cement_ratio: number;
                /// The floor's area, in m2 in the file.
                area: measured(SquareMeters as "_m2" per 1.0 by area_from_text in "m2" such as "\"750ft2\" or \"70m2\"");
                /// Days since the floor was washed or flooded.
                last_wetted_days: number;
                /// Whether the basement is finished.
                finished: words(Finished);
            }
        }

        $make! {
            /// What is known of the ground and the water around the house.
            lot: Lot, lot_fields {
                /// Where the house stands among its neighbors.
                position: words(LotPosition) => answers Position;
                /// Gutters and the slope of the ground, taken together.
                drainage: words(Drainage) => answers Drainage;
                /// Where roof water is let out.
                downspouts: words(Downspouts) => part of Drainage;
                /// How the ground slopes at the walls.
                slope: words(GroundSlope) => part of Drainage;
                /// The day drainage work was finished.
                drainage_work_date: date;
                /// A drain under or beside the footing.
                sub_drain: words(SubDrain) => answers SubDrain;
                /// How often the sump holds or pumps water.
                sump: words(Sump) => answers Sump;
                /// Standing water in the last five years.
                standing_water_5y: yes_no => answers StandingWater;
                /// Something in the house that leaks.
                leak: words(Leak);
                /// The weather of the last months beside the usual.
                lately: words(Lately) => answers Lately;
            }
        }

        $make! {
            /// What the floor and walls show.
            signs: Signs, sign_fields {
                /// Whether the slab darkens in spring.
                spring_darkening: yes_no => answers SpringDarkening;
                /// The calendar months in which the slab is dark, 1 to 12.
                darkening_months: months => part of SpringDarkening;
                /// Whether it is light again by late summer.
                lightens_by_late_summer: yes_no => part of SpringDarkening;
                /// How many springs the bare concrete was watched.
                springs_watched: whole(u32) => part of SpringDarkening;
                /// White powder on the concrete.
                white_deposit: yes_no => weak;
                /// Stains along the joints.
                joint_stain: yes_no => weak;
                /// Cracks that are damp.
                damp_crack: yes_no => weak;
                /// Damp at the foot of the walls.
                damp_lower_wall: yes_no => weak;
                /// Rust at the foot of steel posts.
                rusty_posts: yes_no => weak;
                /// A musty smell.
                musty_smell: yes_no => weak;
                /// Paint or tile that peels, or white bubbles under old paint.
                peeling_paint: yes_no => weak;
                /// Water beads on the floor in summer.
                sweats_in_summer: yes_no => answers Sweats;
                /// Water on the floor at the visit.
                water_now: words(WaterNow) => answers WaterNow;
            }
        }

        $make! {
            /// The air of the room at the visit and through the year.
            air: Air, air_fields {
                /// A machine that dries the air.
                dehumidifier: words(Dehumidifier) => answers Dehumidifier;
                /// The day the dehumidifier was started.
                dehumidifier_since: date => part of Dehumidifier;
                /// Whether it keeps running after the floor is coated.
                runs_after: yes_no => part of Dehumidifier;
                /// What the dehumidifier takes out, in liters a day in the file.
                dehumidifier_capacity: measured(LitersPerDay as "_l_day" per 1.0 by volume_per_day_from_text in "L" such as "\"30 pints\" or \"14L\"") => part of Dehumidifier;
                /// The humidity the dehumidifier is set to, as a fraction.
                dehumidifier_setting: humidity => part of Dehumidifier;
                /// Whether the house is cooled in summer.
                air_conditioned: yes_no => answers AirConditioned;
                /// Whether the room is heated in winter.
                heated: yes_no => answers Heated;
                /// The room's temperature, in °C in the file.
                temp: measured(Celsius as "_c" per 1.0 by celsius_from_text in "C" such as "\"67F\" or \"19.5C\"") => answers RoomTemperature;
                /// The room's relative humidity, as a fraction.
                relative_humidity: humidity => answers RoomHumidity;
                /// The slab's surface temperature, in °C in the file.
                slab_temp: measured(Celsius as "_c" per 1.0 by celsius_from_text in "C" such as "\"62F\" or \"16.5C\"") => answers SlabTemperature;
            }
        }

        $make! {
            /// The weather that the place had before the visit, against its normals.
            weather: Weather, weather_fields {
                /// Rain of the three whole months before the visit's one, in percent of normal in the file.
                last_three_months: measured(RainPercent as "_percent" per 1.0 by rain_percent_from_text in "%" such as "\"150%\"") => part of Lately;
                /// Rain of the twelve whole months before the visit's one, in percent of normal in the file.
                last_twelve_months: measured(RainPercent as "_percent" per 1.0 by rain_percent_from_text in "%" such as "\"110%\"") => part of Lately;
                /// Months before the visit as they were, the unit behind each number: month, rain, mean temperature.
                months: weather_months => part of Lately;
            }
        }

        $make! {
            /// What the system being quoted allows before it is put down. All given ones must hold.
            limit: Limit, limit_fields {
                /// The highest meter reading the data sheet allows, in percent by weight.
                meter_percent: number;
                /// The highest humidity at 40 % depth that the data sheet allows, in percent in the file.
                probe: probe_percent;
                /// The highest flux the data sheet allows, in pounds per 1000 square feet and 24 hours.
                calcium_chloride_lb: number;
                /// Where the limits come from.
                source: text;
            }
        }
    };
}
pub(super) use declare_answers;
