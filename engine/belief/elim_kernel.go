package belief

// The inner loops of elimination. Runs are powers of two, and so are gone through
// by fours where they are long.

// forward adds the products of an operation to its table. This name and backward are free
// functions because index comes in two widths.
func forward[I list](o *operation, index []I, t []float64) {
	passes := index[o.at:][:3*o.passes]
	inner := index[o.at+3*o.passes:][:3*o.inner]
	outer := index[o.at+3*(o.passes+o.inner):][:3*o.outer]
	n := int(o.run)
	for p := 0; p+2 < len(passes); p += 3 {
		for q := 0; q+2 < len(outer); q += 3 {
			y := t[o.y+int32(passes[p])+int32(outer[q]):]
			x := t[o.x+int32(passes[p+1])+int32(outer[q+1]):]
			f := t[o.f+int32(passes[p+2])+int32(outer[q+2]):]
			switch {
			case n == 1:
				for i := 0; i+2 < len(inner); i += 3 {
					y[inner[i]] += x[inner[i+1]] * f[inner[i+2]]
				}
			case o.how == runX:
				scaledRuns(y, x, f, inner, 1, n)
			case o.how == runF:
				scaledRuns(y, f, x, inner, 2, n)
			default:
				productRuns(y, x, f, inner, n)
			}
		}
	}
}

// scaledRuns adds runs of x times a number of f; at says which offset is that of x.
func scaledRuns[I list](y, x, f []float64, inner []I, at, n int) {
	other := 3 - at
	switch n {
	case 2:
		for i := 0; i+2 < len(inner); i += 3 {
			b := inner[i : i+3 : i+3]
			k, a, z := f[b[other]], (*[2]float64)(x[b[at]:]), (*[2]float64)(y[b[0]:])
			z[0] += k * a[0]
			z[1] += k * a[1]
		}
	case 4:
		for i := 0; i+2 < len(inner); i += 3 {
			b := inner[i : i+3 : i+3]
			k, a, z := f[b[other]], (*[4]float64)(x[b[at]:]), (*[4]float64)(y[b[0]:])
			z[0] += k * a[0]
			z[1] += k * a[1]
			z[2] += k * a[2]
			z[3] += k * a[3]
		}
	default:
		for i := 0; i+2 < len(inner); i += 3 {
			b := inner[i : i+3 : i+3]
			addScaled(y[b[0]:][:n], x[b[at]:][:n], f[b[other]])
		}
	}
}

func productRuns[I list](y, x, f []float64, inner []I, n int) {
	switch n {
	case 2:
		for i := 0; i+2 < len(inner); i += 3 {
			z, a, k := (*[2]float64)(y[inner[i]:]), (*[2]float64)(x[inner[i+1]:]), (*[2]float64)(f[inner[i+2]:])
			z[0] += k[0] * a[0]
			z[1] += k[1] * a[1]
		}
	default:
		for i := 0; i+2 < len(inner); i += 3 {
			addProducts(y[inner[i]:][:n], x[inner[i+1]:][:n], f[inner[i+2]:][:n])
		}
	}
}

// addProducts makes y += x f, number by number.
func addProducts(y, x, f []float64) {
	for len(y) >= 4 && len(x) >= 4 && len(f) >= 4 {
		y[0] += x[0] * f[0]
		y[1] += x[1] * f[1]
		y[2] += x[2] * f[2]
		y[3] += x[3] * f[3]
		y, x, f = y[4:], x[4:], f[4:]
	}
	for i := range y {
		y[i] += x[i] * f[i]
	}
}

// backward adds to the derivatives by the two tables, as far as they are asked for, what
// that by their product makes.
func backward[I list](o *operation, index []I, t, back []float64) {
	if !o.wantsX && !o.wantsF {
		return
	}
	passes := index[o.at:][:3*o.passes]
	inner := index[o.at+3*o.passes:][:3*o.inner]
	outer := index[o.at+3*(o.passes+o.inner):][:3*o.outer]
	n := int(o.run)
	for p := 0; p+2 < len(passes); p += 3 {
		for q := 0; q+2 < len(outer); q += 3 {
			y := back[o.y+int32(passes[p])+int32(outer[q]):]
			ax, af := o.x+int32(passes[p+1])+int32(outer[q+1]), o.f+int32(passes[p+2])+int32(outer[q+2])
			x, f, toX, toF := t[ax:], t[af:], back[ax:], back[af:]
			switch {
			case n == 1:
				backOnes(y, x, f, toX, toF, inner, o.wantsX, o.wantsF)
			case o.how == runX:
				scaledBack(y, x, f, toX, toF, inner, 1, n, o.wantsX, o.wantsF)
			case o.how == runF:
				scaledBack(y, f, x, toF, toX, inner, 2, n, o.wantsF, o.wantsX)
			default:
				for i := 0; i+2 < len(inner); i += 3 {
					b := y[inner[i]:][:n]
					if o.wantsX {
						addProducts(toX[inner[i+1]:][:n], b, f[inner[i+2]:][:n])
					}
					if o.wantsF {
						addProducts(toF[inner[i+2]:][:n], b, x[inner[i+1]:][:n])
					}
				}
			}
		}
	}
}

func backOnes[I list](y, x, f, toX, toF []float64, inner []I, wantsX, wantsF bool) {
	for i := 0; i+2 < len(inner); i += 3 {
		b := y[inner[i]]
		if wantsX {
			toX[inner[i+1]] += b * f[inner[i+2]]
		}
		if wantsF {
			toF[inner[i+2]] += b * x[inner[i+1]]
		}
	}
}

// scaledBack is the adjoint of scaledRuns.
func scaledBack[I list](y, x, f, toX, toF []float64, inner []I, at, n int, wantsX, wantsF bool) {
	other := 3 - at
	switch {
	case n == 2:
		for i := 0; i+2 < len(inner); i += 3 {
			b := inner[i : i+3 : i+3]
			z := (*[2]float64)(y[b[0]:])
			if wantsX {
				k, to := f[b[other]], (*[2]float64)(toX[b[at]:])
				to[0] += k * z[0]
				to[1] += k * z[1]
			}
			if wantsF {
				a := (*[2]float64)(x[b[at]:])
				toF[b[other]] += z[0]*a[0] + z[1]*a[1]
			}
		}
	case n == 4:
		for i := 0; i+2 < len(inner); i += 3 {
			b := inner[i : i+3 : i+3]
			z := (*[4]float64)(y[b[0]:])
			if wantsX {
				k, to := f[b[other]], (*[4]float64)(toX[b[at]:])
				to[0] += k * z[0]
				to[1] += k * z[1]
				to[2] += k * z[2]
				to[3] += k * z[3]
			}
			if wantsF {
				a := (*[4]float64)(x[b[at]:])
				toF[b[other]] += (z[0]*a[0] + z[1]*a[1]) + (z[2]*a[2] + z[3]*a[3])
			}
		}
	default:
		for i := 0; i+2 < len(inner); i += 3 {
			b := inner[i : i+3 : i+3]
			z := y[b[0]:][:n]
			if wantsX {
				addScaled(toX[b[at]:][:n], z, f[b[other]])
			}
			if wantsF {
				toF[b[other]] += product4(z, x[b[at]:][:n])
			}
		}
	}
}

// addScaled makes y += k x, for lengths that are multiples of four.
func addScaled(y, x []float64, k float64) {
	for len(y) >= 4 && len(x) >= 4 {
		y[0] += k * x[0]
		y[1] += k * x[1]
		y[2] += k * x[2]
		y[3] += k * x[3]
		y, x = y[4:], x[4:]
	}
}

// product4 sums the products of two runs, whose length is a multiple of four.
func product4(x, y []float64) float64 {
	a, b := 0.0, 0.0
	for len(y) >= 4 && len(x) >= 4 {
		a += x[0]*y[0] + x[2]*y[2]
		b += x[1]*y[1] + x[3]*y[3]
		y, x = y[4:], x[4:]
	}
	return a + b
}
