package habitat

import (
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// BurnDaysFrom says where the burn days of a plan's seasons come from.
type BurnDaysFrom string

// The zero value takes PoorDays where a weather record is loaded, and
// SettingsDays without one.
const (
	DefaultDays BurnDaysFrom = ""
	// PoorDays are those of the poor year of the record, one in five.
	PoorDays BurnDaysFrom = "poor"
	// MedianDays are those of its median year.
	MedianDays BurnDaysFrom = "median"
	// MeanDays are the mean of its years.
	MeanDays BurnDaysFrom = "mean"
	// SettingsDays are those of the settings alone.
	SettingsDays BurnDaysFrom = "settings"
	// StatedDays are a number that the caller states.
	StatedDays BurnDaysFrom = "stated"
)

// BurnDays say how many burn days the seasons of a plan have.
type BurnDays struct {
	From BurnDaysFrom `json:"from"`
	// Days counts where From is StatedDays.
	Days float64 `json:"days,omitempty"`
	// Toward is by what share the days of PoorDays are moved toward those of the
	// median year.
	Toward float64 `json:"toward,omitempty"`
}

// ParseBurnDays reads poor, median, mean, settings, a number, or nothing for the
// default. The error is a *FieldError of "burn_days".
func ParseBurnDays(text string) (BurnDays, error) {
	if days, err := quantity.Parse(text); err == nil {
		if !isAmount(days, MaxBurnDays) {
			return BurnDays{}, fieldErrorf("burn_days", "0 to 366 days", "%s is not a number of days", source.Quote(text))
		}
		return BurnDays{From: StatedDays, Days: days}, nil
	}
	switch from := BurnDaysFrom(text); from {
	case DefaultDays, PoorDays, MedianDays, MeanDays, SettingsDays:
		return BurnDays{From: from}, nil
	}
	return BurnDays{}, fieldErrorf("burn_days", "poor, median, mean, settings or a number of days", "%s is none of these", source.Quote(text))
}
