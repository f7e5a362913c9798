// Package coupon turns test data into allowables and makes the prints that
// measure: coupons by published test standards, and calibration prints of a
// machine and a plastic, with the fit of what was read off them.
//
// # Allowables
//
// The A-value is exceeded by 99 %, the B-value by 90 % of the population, with
// 95 % confidence. From a sample of n strengths they follow by an assumed
// distribution (CMH-17-1G, Composite Materials Handbook, volume 1, 2012,
// chapter 8; formulas also in MIL-HDBK-17-1F, 2002, chapter 8):
//
//	normal     x̄ − k·s, k from the non-central t distribution
//	lognormal  the same of the logarithms
//	Weibull    α·(−ln R)^(1/β)·exp(−V/(β·√n)), R = 0.99 or 0.90
//	none       the least value, for the B-value from n = 29 on
//
// Whether a distribution fits is judged by the Anderson-Darling statistic; the
// observed significance level must exceed 5 %. Outliers are sought by the
// maximum normed residual, batches compared by the k-sample Anderson-Darling
// test at 2.5 % (F. W. Scholz, M. A. Stephens, K-sample Anderson-Darling tests,
// Journal of the American Statistical Association 82 (1987) 918–924).
//
// # Prints
//
// A coupon is sawn from a printed panel: strands shorter than the cutter's
// distance cannot be laid, and a panel's corners under ±45° hold none. Sizes
// are those of the standards named beside them.
//
// Units: mm, N, MPa, °C, s.
//
// Limits: one material and one environment at a time; no analysis of variance
// for batches that differ, no pooling over environments. Small samples are
// computed as asked; the handbook wants 18 from three batches for published
// values and 30 from five for A-values.
package coupon
