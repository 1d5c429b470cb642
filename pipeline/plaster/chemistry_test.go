package plaster

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Sources: hemihydrate 145.15 g/mol: The Merck Index, 10th ed. (1983), entry 1753, as cited by
// the CAMEO materials database of the Museum of Fine Arts, Boston; gypsum 172.17 g/mol and
// 2.32 g/cm³: calcium sulphate product data of Brenntag; water 18.015 g/mol: from memory.
func TestMolarMassesAndGypsumDensity(t *testing.T) {
	require.InDelta(t, 145.15, molarHemihydrate, 0.01)
	require.InDelta(t, 172.17, molarGypsum, 0.01)
	require.InDelta(t, 18.015, molarWater, 0.001)
	require.InDelta(t, 2.32, gypsumDensity, 0.005)
	require.InDelta(t, 0.186180, waterBoundPerKg, 5e-7, "derived from the molar masses")
	require.InDelta(t, 1.186180, gypsumPerKg, 5e-7, "derived from the molar masses")
	require.InDelta(t, 1+waterBoundPerKg, gypsumPerKg, 1e-12, "mass is conserved")
	// 145.15 g of hemihydrate bind 27.02 g of water (from memory).
	require.InDelta(t, 27.02, waterBoundPerKg*molarHemihydrate, 0.005)
}

// Values derived from first principles with ρ_p 2.73 and ρ_w 0.998 g/cm³, to the digits shown.
func TestSlurryAgainstTheDerivedTable(t *testing.T) {
	for _, row := range []struct{ c, volume, wet, dry, porosity, toDry float64 }{
		{60, .9675, 1.654, 1.226, .4715, .4138},
		{65, 1.0176, 1.621, 1.166, .4976, .4638},
		{70, 1.0677, 1.592, 1.111, .5211, .5138},
		{73, 1.0978, 1.576, 1.081, .5342, .5438},
		{80, 1.1679, 1.541, 1.016, .5622, .6138},
	} {
		s := Slurry{Consistency: row.c, PlasterDensity: 2.73, WaterDensity: 0.998}
		require.InDelta(t, row.volume, s.LitersPerKg(), 0.000051, "volume at %v", row.c)
		require.InDelta(t, row.wet, s.FreshDensity(), 0.00051, "wet density at %v", row.c)
		require.InDelta(t, row.dry, s.DryDensity(), 0.00051, "dry density at %v", row.c)
		require.InDelta(t, row.porosity, s.Porosity(), 0.000051, "porosity at %v", row.c)
		require.InDelta(t, row.toDry, s.WaterToDry(), 0.000051, "water to dry at %v", row.c)
	}
	require.Zero(t, Slurry{Consistency: 10, PlasterDensity: 2.7, WaterDensity: 1}.WaterToDry())
}

// A pour worked by hand (derived): a 4.00 L mold, mixed 6 % over, ρ_p 2.73, consistency 70.
func TestPourWorkedByHand(t *testing.T) {
	s := Slurry{Consistency: 70, PlasterDensity: 2.73, WaterDensity: 0.998}
	plaster := s.PlasterKg(4.24)
	require.InDelta(t, 3.971, plaster, 0.0005)
	require.InDelta(t, 2.780, plaster*0.70, 0.0005)
	require.InDelta(t, 0.382, 0.24*s.FreshDensity(), 0.0005)
	require.InDelta(t, 0.267, 0.24*s.DryDensity(), 0.0005)
	require.InDelta(t, 6.369, 4*s.FreshDensity(), 0.0005)
	require.InDelta(t, 4.444, 4*s.DryDensity(), 0.0005)
	require.InDelta(t, 6.369-4.444, s.PlasterKg(4)*s.WaterToDry(), 0.0005, "what dries off is the difference")
	require.InDelta(t, 0.382*s.PlasterShare(), s.PlasterKg(0.24), 0.0005, "surplus as dry plaster")
}

// The quart rule (common practice, no source): a US quart of water and 2 lb 12 oz of plaster
// fill about 80 in³. Theory says 85.6 in³ at consistency 75.7: the rule hides an allowance.
func TestQuartRule(t *testing.T) {
	const quartL, poundKg, cubicInchL = 0.946352946, 0.45359237, 0.016387064
	water, plaster := quartL*0.998, 2.75*poundKg
	s := Slurry{Consistency: 100 * water / plaster, PlasterDensity: 2.73, WaterDensity: 0.998}
	require.InDelta(t, 75.7, s.Consistency, 0.05)
	require.InDelta(t, 85.6, plaster*s.LitersPerKg()/cubicInchL, 0.05)
	heavy := Slurry{Consistency: 100 * 2 / 2.75, PlasterDensity: 2.73, WaterDensity: 0.998}
	require.InDelta(t, 83.35, plaster*heavy.LitersPerKg()/cubicInchL, 0.01)
}
