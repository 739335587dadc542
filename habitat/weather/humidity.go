package weather

import (
	"math"

	"emberquilt/habitat/quantity"
)

// Coefficients of the Magnus form over water, −45 to 60 °C.
//
// Source: WMO, Guide to Instruments and Methods of Observation (WMO-No. 8),
// annex on humidity formulae; the same pair stands in the documentation of
// public solar-energy libraries.
const (
	magnusB = 17.62
	magnusC = quantity.Celsius(243.12)
)

// RelativeHumidity gives the humidity of air of a temperature and a dew point:
// the ratio of the two vapor pressures by the Magnus form. A dew point above
// the temperature, which rounding brings about in fog, gives 100.
func RelativeHumidity(t, dewPoint quantity.Celsius) quantity.Percent {
	rh := 100 * math.Exp(magnus(dewPoint)-magnus(t))
	return quantity.Percent(min(rh, 100))
}

// magnus is the exponent of the Magnus form.
func magnus(t quantity.Celsius) float64 { return magnusB * float64(t/(magnusC+t)) }

// EquilibriumMoisture gives the moisture that fine dead fuel takes on in air of
// a temperature and a humidity. The curve jumps where its three pieces meet, at
// 10 and at 50 percent; that is how it was published, and it is not smoothed.
//
// Source: Simard 1968, as used in the National Fire-Danger Rating System
// (Bradshaw, Deeming, Burgan and Cohen 1983), humidity in percent, temperature
// in degrees Fahrenheit.
func EquilibriumMoisture(t quantity.Fahrenheit, rh quantity.Percent) quantity.Percent {
	T, H := float64(t), float64(rh)
	switch {
	case H < 10:
		return quantity.Percent(0.03229 + 0.281073*H - 0.000578*H*T)
	case H < 50:
		return quantity.Percent(2.22749 + 0.160107*H - 0.01478*T)
	default:
		return quantity.Percent(21.0606 + 0.005565*H*H - 0.00035*H*T - 0.483199*H)
	}
}

// WindRatio is the wind at 10 m over the wind at 20 feet, in the open.
//
// Source: Lawson and Armitage 2008, Weather guide for the Canadian Forest Fire
// Danger Rating System.
const WindRatio = 1.15
