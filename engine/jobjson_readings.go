package engine

import (
	"math"
	"slices"
	"strconv"
)

// readings reads an object of readings by id; null is none.
func (p *jobParser) readings(n int) map[string]Value {
	all := p.spare
	if p.spare = nil; all == nil {
		all = make(map[string]Value, p.size(n))
	}
	clear(all)
	p.each(n, func(id string, n int) {
		wrong := len(p.mistakes.list)
		v := p.reading(n)
		if len(p.mistakes.list) > wrong {
			v = Value{} // what is wrong with it has been said
		}
		all[id] = v
	})
	return all
}

// reading reads one reading in any of its forms; null is one not taken.
func (p *jobParser) reading(n int) Value {
	switch p.kind(n) {
	case jsonNull:
	case jsonText:
		return Text(p.said(n))
	case jsonYesNo:
		return YesNo(p.nodes[n].yes)
	case jsonNumber:
		return Number(p.number(n))
	case jsonObject:
		return p.measured(n)
	default:
		p.fail(n, `write {"every": "50 ms", "values": […]} for a trace`, "a reading is not %s", p.kind(n))
	}
	return Value{}
}

func (p *jobParser) number(n int) float64 {
	if p.kind(n) != jsonNumber {
		p.fail(n, "", "must be a number, not %s", p.kind(n))
		return 0
	}
	x, err := strconv.ParseFloat(string(p.raw(n)), 64)
	if err != nil {
		p.fail(n, "", "the number is too large")
	}
	return x
}

// measured reads {value, unit, within} or {every, values}. What is null counts
// as not written, so a value of null is a reading that was not taken.
func (p *jobParser) measured(n int) Value {
	v := Value{form: asMeasured}
	if p.has(n, "every") || p.has(n, "values") {
		v.form = asTrace
	}
	taken := map[string]bool{}
	for key, item := range p.keys(n) {
		name := string(p.letters(key))
		if slices.Contains(readingKeys, name) && p.kind(item) == jsonNull {
			continue
		}
		taken[name] = true
		switch {
		case name == "value" && v.form == asMeasured:
			v.number = p.number(item)
		case name == "unit" && v.form == asMeasured:
			v.text = p.text(item)
		case name == "within" && v.form == asMeasured:
			v.within, v.limited = p.number(item), true
		case name == "every" && v.form == asTrace:
			v.text = p.said(item)
			if k := p.kind(item); k != jsonText && k != jsonNumber {
				p.fail(item, `write "50 ms"`, "the sampling interval is not %s", k)
			}
		case name == "values" && v.form == asTrace:
			v.samples = p.samples(item)
		case slices.Contains(readingKeys, name):
			p.failBeside(n, key, "a trace has every and values, another reading value, unit and within", "a trace has no key %q", name)
		default:
			p.failBeside(n, key, nearest(name, readingKeys), "a reading has no key %q", name)
		}
	}
	return p.complete(v, n, taken)
}

// complete refuses a reading from which something is missing.
func (p *jobParser) complete(v Value, n int, taken map[string]bool) Value {
	if v.form == asMeasured {
		switch {
		case taken["value"]:
			return v
		case !p.has(n, "value"):
			p.fail(n, "", "the reading has no %q", "value")
		}
		return Value{}
	}
	for _, key := range []string{"every", "values"} {
		if !taken[key] {
			p.fail(n, "", "the trace has no %q", key)
		}
	}
	return v
}

func (p *jobParser) samples(n int) []float64 {
	if p.kind(n) != jsonList {
		p.fail(n, "write a list of numbers, null for a sample that was lost", "must be a list, not %s", p.kind(n))
		return nil
	}
	samples := make([]float64, 0, p.nodes[n].next-int32(n)-1)
	for _, item := range p.items(n) {
		if p.more {
			break
		}
		if p.kind(item) == jsonNull {
			samples = append(samples, math.NaN())
		} else {
			samples = append(samples, p.number(item))
		}
	}
	return samples
}
