// Package prescription holds the limits under which a unit may burn, and reads
// them from prescription/1 files.
//
// A Prescription is a set of inclusive limits, each optional: temperature,
// humidity, wind with the height at which it is stated, directions, gusts, mixing
// height, transport wind, fine dead fuel moisture, days since rain, no rain in the hour, the hours of the day and
// how many of them in a row are needed. It enters as JSON through Read, which
// names the place of every mistake, and leaves through MarshalJSON.
//
// Beyond the keys of the format's example, nine are optional:
//
//   - gust_mph: the gusts, as [lowest, highest] at wind_height, which it needs.
//   - mixing_height_ft: the mixing height above the ground, as [lowest, highest].
//   - transport_wind_mph: the transport wind, as [lowest, highest].
//   - transport_from_deg: the sectors from which the transport wind may blow.
//   - wind_adjustment: the share of the 20-foot wind that is felt at eye level;
//     a prescription with eye-level wind needs it, here or from the unit.
//   - fuel_moisture_correction_pct: added to the computed moisture; 0 by default.
//   - hours_are: "clock" where burn_hours are clock time of the property's zone,
//     "standard", the default, where they are standard time all year.
//   - note: a sentence for the reader.
//   - sources: for a key, where its limit is from.
//
// burn_hours whose second time is earlier than the first run across midnight: ["20:00",
// "04:00"] are the hours of one night, which belongs to the day on which it begins.
//
// A key that is absent or null sets no limit. Without burn_hours the day runs
// from 09:00 to 18:00, and without min_hours one hour is enough; Assumed says
// which of them was taken.
//
// Limits are planning figures. They never authorize a burn: the written plan,
// the law and a qualified burn boss do.
package prescription
