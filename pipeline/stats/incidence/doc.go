// Package incidence estimates how likely each of several competing causes is to
// have ended a unit by a given age, from records that are cut short at both
// ends: units still alive when the record stops (right censoring) and units
// that were already old when it began (left truncation).
//
// # The estimate
//
// At an age t with d_k ends by cause k among n units at risk (in view just
// before t),
//
//	F_k(t) = F_k(t−) + S(t−) d_k/n,   S(t) = S(t−) (1 − Σ d_k/n)
//
// (Aalen & Johansen 1978, Scand. J. Stat. 5). S and all F_k add to 1. Treating
// the other causes as censoring instead, and taking 1 less the product-limit
// estimate, overstates each of them.
//
// Its variance carries the covariance of (S, F_k) from age to age and adds, at
// each, that of d_k/n as a multinomial share (Andersen, Borgan, Gill & Keiding
// 1993, Statistical Models Based on Counting Processes, section IV.4). For one
// cause it is Greenwood's, without truncation the infinitesimal jackknife.
package incidence
