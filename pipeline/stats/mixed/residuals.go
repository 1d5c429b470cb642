package mixed

// Residuals of a row of group g: from the fixed effects alone (marginal, y − x'β)
// and with the group's own effects (conditional, y − x'β − z'b_g). For New or a
// group without rows the two are equal. Marginal residuals of a group are
// correlated; conditional ones are smaller than the errors by what b_g took up.
func (m *Model) Residuals(g int, x, z []float64, y float64) (marginal, conditional float64) {
	m.shape(x, z)
	marginal = y - dot(x, m.Beta)
	return marginal, marginal - dot(z, m.Mode(g))
}
