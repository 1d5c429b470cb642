package watch

// Settings of the watch stage.
type Settings struct {
	InControlRun float64 // casts between two false alarms of a healthy mold
	Reference    float64 // CUSUM reference value, in standard deviations
	FastWear     float64 // how many times its kind's wear counts as fast
	FlagChance   float64 // chance of fast wear from which a mold is flagged
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{InControlRun: 500, Reference: 0.5, FastWear: 1.5, FlagChance: 0.9}
}
