// Package weather reads hourly weather records and derives from them what a
// prescription asks for.
//
// Files of one station go in, of any format that Formats lists, plain or
// packed, recognized by content; a Record comes out: hours in order of time,
// each with temperature, humidity, wind at 10 m, the direction it blows from and
// rain, with the gusts that ISD, LCD and plain CSV carry and the mixing heights and transport winds of plain CSV, all in the units of the trade. What was not reported is unknown, a state
// of its own. Record.Sources says of each file what it was, how many lines were
// bad and which; Record.Warnings what is odd about the whole.
//
// # Rules that hold for every format
//
//   - Time is local standard time all year, hour ending: label 13 covers 12:00
//     to 13:00. A report between two full hours belongs to the next one (:51,
//     :53); a report at a full hour ends that hour. 00:00 is label 24 of the day
//     before. Formats in UTC need the station's offset.
//   - Two records for one label: the first in file order is kept, whatever it
//     lacks, and the count of the others is shown. Files that overlap likewise,
//     in the order given; files of different stations are refused.
//   - An hour without a gust had none worth a report; a record without any says
//     nothing of gusts.
//   - A missing depth of rain is unknown, not 0; whether it counts as dry is the
//     business of the count. A trace is rain with a depth of 0.
//   - A depth over several hours: hours in it with a depth of their own keep
//     it, the rest belongs to the last hour; hours in it without one are wet
//     where the depth is above zero.
//   - A value that the file marks as suspect or erroneous is not taken, except
//     rain above zero, which stays rain.
//   - Humidity is what the file gives where its format has it, even where dew
//     point says otherwise, and is never filled from the dew point; formats
//     without it have it from temperature and dew point.
//   - Calm and variable winds have a speed and no direction. A direction of 0
//     or 360 with a speed above zero is north.
//   - Of NOAA's mixed reports the hourly ones (FM-15) are taken; where a file
//     has none at all, other hourly types.
//   - A value outside what weather can be makes its line bad and is not taken;
//     the line's other values are. More than BadAllowed bad lines refuse the
//     file.
//   - A typical year is put in the order of month, day and hour, and its days
//     bear the year TypicalYear.
//
// What a record as a whole can hardly be, such as a humidity that contradicts
// the dew point in a quarter of the hours, is a warning, and nothing is refused
// for it. A unit that is off by less than half can look like weather, and does.
//
// ISD-Lite's and ISD's depths over six hours are not used, since depths of one
// hour are what the limits ask for.
//
// Sun, RelativeHumidity, EquilibriumMoisture and the wind heights each name
// their source.
package weather
