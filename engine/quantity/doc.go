// Package quantity holds measured numbers: a value, its unit and its standard uncertainty.
//
// Start with Parse, which reads what a technician writes ("25.2 deg dwell4", "75 psi", "1.9 % ± 0.06"), and
// with Quantity.In, which brings the result to the unit that is wanted or says which units would fit.
// Limits turns what a meter's data sheet states into a standard uncertainty, and Format rounds a value for
// a person to what its uncertainty leaves of it.
//
// Behind the sign ± there always stands a limit of error, as on a data sheet, never a standard uncertainty;
// a limit a is taken for a standard uncertainty of a/√3 (JCGM 100:2008, 4.3.7).
//
// The package knows the units of the workshop and no others; it does no dimensional algebra (volts over amperes
// is not ohms here).
package quantity
