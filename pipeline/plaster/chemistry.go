package plaster

// Molar masses in g/mol from the standard atomic weights, abridged
// (Ca 40.078, S 32.06, O 15.999, H 1.008; IUPAC, from memory).
const (
	molarWater        = 2*1.008 + 15.999
	molarAnhydrite    = 40.078 + 32.06 + 4*15.999
	molarHemihydrate  = molarAnhydrite + molarWater/2
	molarGypsum       = molarAnhydrite + 2*molarWater
	waterBoundPerKg   = 1.5 * molarWater / molarHemihydrate // kg of water that a kg of plaster binds
	gypsumPerKg       = molarGypsum / molarHemihydrate      // kg of gypsum that a kg of plaster becomes
	gypsumDensity     = 2.32                                // g/cm³; handbook value of the mineral
	litersPerCubicMM  = 1e-6
	commonConsistency = 70 // common practice, no source
)

// Slurry is plaster mixed with water. Setting:
//
//	CaSO4·½H2O + 1½ H2O → CaSO4·2H2O
//
// The water beyond that is free: it fills the pores and dries off. Slurry and
// set plaster are taken to fill the same volume (the expansion on setting,
// some tenths of a percent, is left out).
type Slurry struct {
	Consistency    float64 // parts of water per 100 parts of plaster, by mass
	PlasterDensity float64 // g/cm³ of hemihydrate
	WaterDensity   float64 // g/cm³
}

// LitersPerKg is the volume of slurry per kg of plaster: C/100/ρ_w + 1/ρ_p.
func (s Slurry) LitersPerKg() float64 {
	return s.Consistency/100/s.WaterDensity + 1/s.PlasterDensity
}

// PlasterShare is the part of the slurry's mass that is plaster.
func (s Slurry) PlasterShare() float64 { return 100 / (100 + s.Consistency) }

// FreshDensity is the density of the slurry, and of plaster just set, in kg/L.
func (s Slurry) FreshDensity() float64 { return (1 + s.Consistency/100) / s.LitersPerKg() }

// DryDensity is the density of the dry mold in kg/L.
func (s Slurry) DryDensity() float64 { return gypsumPerKg / s.LitersPerKg() }

// Porosity is the part of the dry mold's volume that is pores.
func (s Slurry) Porosity() float64 { return 1 - s.DryDensity()/gypsumDensity }

// WaterToDry is the free water in kg per kg of plaster, never below zero.
func (s Slurry) WaterToDry() float64 { return max(0, s.Consistency/100-waterBoundPerKg) }

// PlasterKg is the dry plaster that fills a volume, kg.
func (s Slurry) PlasterKg(liters float64) float64 { return liters / s.LitersPerKg() }
