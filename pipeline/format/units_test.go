package format

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// NIST Special Publication 811 (2008), appendix B.8 (values in bold are exact there):
// inch 2.54 E-02 m; pound avoirdupois 4.535 923 7 E-01 kg; ounce avoirdupois
// 2.834 952 E-02 kg; quart (U.S. liquid) 9.463 529 E-01 L, exactly 57.75 in³ as a
// quarter of the gallon of 231 in³; degree Fahrenheit t/°C = (t/°F − 32)/1.8.
func TestUSUnitsHaveTheirDefinedSizes(t *testing.T) {
	const inch, pound = 25.4, 0.45359237
	require.Equal(t, 1.0, US.Length().Of(inch))
	require.Equal(t, 1.0, US.MassUnit().Of(pound))
	require.InDelta(t, 57.75*inch*inch*inch/1e6, 1/US.Liquid().Of(1), 1e-15, "a quart is 57.75 cubic inches")
	require.Equal(t, 1.0, US.Liquid().Of(0.946352946))
	require.InDelta(t, 1, US.CastingRate().Of(inch*inch/60), 1e-15)
	require.Equal(t, "1.0 oz", US.Mass(2.834952e-2))
	require.Equal(t, "1.0 gal", US.Volume(231*inch*inch*inch/1e6))
	require.Equal(t, []string{"32 °F", "212 °F", "−40 °F"}, []string{US.Temperature(0), US.Temperature(100), US.Temperature(-40)})
}

func TestMetricIsWhatComesIn(t *testing.T) {
	for _, u := range []Units{Metric, ""} {
		for _, x := range []float64{0, 1.0 / 3, -7.25, 1e9} {
			for _, to := range []Unit{u.Length(), u.MassUnit(), u.CastingRate(), u.Liquid()} {
				require.Equal(t, x, to.Of(x), "not a bit may change")
			}
			require.Equal(t, x, u.PerMass(x))
		}
		require.Equal(t, []string{"mm", "kg", "mm²/min", "L"}, []string{u.Length().Name, u.MassUnit().Name, u.CastingRate().Name, u.Liquid().Name})
	}
}

func TestQuantitiesReadAsPeopleWriteThem(t *testing.T) {
	for _, c := range []struct{ want, got string }{
		{"5.2 mm", Metric.Wall(5.2345)}, {"0.206 in", US.Wall(5.2345)}, {"0.188 in", US.Wall(25.4 * 3 / 16)},
		{"1.2 mm²/min", Metric.Rate(1.234)}, {"0.11 in²/h", US.Rate(1.234)}, {"0.0032 in²/h", US.Rate(0.0341)},
		{"0.35 kg", Metric.Mass(0.347)}, {"12.2 oz", US.Mass(0.347)}, {"12.3 kg", Metric.Mass(12.34)}, {"27.2 lb", US.Mass(12.34)},
		{"1.10 lb", US.Mass(0.5)}, {"2722 lb", US.Mass(1234.6)}, {"0.00 lb", US.Mass(0)}, {"0.77 lb", US.MassInOne(0.347)}, {"−12.2 oz", US.Mass(-0.347)},
		{"3.40 kg", Metric.Weighed(3.4)}, {"12.5 kg", Metric.Weighed(12.5)}, {"7.50 lb", US.Weighed(3.4)}, {"27.6 lb", US.Weighed(12.5)},
		{"25 kg", Metric.Bag(25)}, {"22.7 kg", Metric.Bag(22.6796)}, {"50 lb", US.Bag(22.6796)}, {"55.1 lb", US.Bag(25)},
		{"100 kg", Metric.About(103.4)}, {"230 lb", US.About(103.4)}, {"8.1 kg", Metric.About(8.14)}, {"18 lb", US.About(8.14)},
		{"3.40 L", Metric.Volume(3.4)}, {"3.59 qt", US.Volume(3.4)}, {"1.6 gal", US.Volume(6)},
		{"60 °C", Metric.Temperature(60)}, {"140 °F", US.Temperature(60)},
		{"33 mm", Metric.Ruler(33.4)}, {"1 5/16 in", US.Ruler(33.4)}, {"1/2 in", US.Ruler(12)}, {"0 in", US.Ruler(0.5)},
		{"33 mm", Metric.RulerDown(33.9)}, {"1 5/16 in", US.RulerDown(33.9)}, {"1 1/4 in", US.RulerDown(33)}, {"7/16 in", US.RulerDown(12)},
		{"0.150 to 0.165 in", Interval(US.Wall(3.81), US.Wall(4.191))}, {"7.9 oz to 1.10 lb", Interval(US.Mass(0.225), US.Mass(0.5))},
	} {
		require.Equal(t, c.want, c.got)
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, u := range []Units{Metric, US} {
			for _, s := range []string{u.Wall(x), u.Rate(x), u.Mass(x), u.Weighed(x), u.Bag(x), u.About(x), u.Volume(x), u.Temperature(x), u.Ruler(x), u.RulerDown(x)} {
				require.Equal(t, Dash, s)
			}
		}
	}
	require.InDelta(t, 2, US.PerMass(2/0.45359237), 1e-15, "a price of 2 a pound")
	require.Nil(t, US.Length().Each(nil))
	require.Equal(t, []float64{1, 2}, US.Length().Each([]float64{25.4, 50.8}))
}

func TestACutIsNeverDeeperOnTheRulerThanAllowed(t *testing.T) {
	for tenth := range 3000 {
		mm := float64(tenth) / 10
		for _, u := range []Units{Metric, US} {
			on := u.OnRulerDown(mm)
			require.LessOrEqual(t, on, u.Length().Of(mm)+1e-9)
			require.Greater(t, on, u.Length().Of(mm)-1-1e-9)
		}
		require.InDelta(t, mm/25.4, US.OnRuler(mm), 1.0/32+1e-9)
	}
}

func TestDaysReadAsNoOtherDay(t *testing.T) {
	day := tables.MakeDate(2025, 3, 4)
	for d, want := range map[Days][3]string{
		"": {"2025-03-04", "Tue 2025-03-04", "yyyy-mm-dd"}, ISO: {"2025-03-04", "Tue 2025-03-04", "yyyy-mm-dd"},
		DayMonth: {"4 Mar 2025", "Tue 4 Mar 2025", "d mmm yyyy"}, MonthDay: {"Mar 4, 2025", "Tue Mar 4, 2025", "mmm d, yyyy"},
	} {
		require.Equal(t, want, [3]string{d.Day(day), d.Weekday(day), d.Code()})
		require.Equal(t, Dash, d.Day(tables.NoDate))
	}
}
