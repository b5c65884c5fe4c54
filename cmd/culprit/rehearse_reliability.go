package main

import (
	"fmt"
	"strings"

	"culprit/cases/score"
)

// The reliability diagram: how often the leading fault is there, over what was said. On the diagonal, probabilities hold.

const (
	reliabilitySide = 300 // of the square
	reliabilityLeft = 56
	reliabilityTop  = 52
	reliabilityBars = 60 // height of the bars below, which tell how many cars a point stands for
)

// reliability draws a score's calibration.
func reliability(t *score.Table) string {
	const width, height = reliabilityLeft + reliabilitySide + 24, reliabilityTop + reliabilitySide + 48 + reliabilityBars + 30
	x := func(p float64) float64 { return reliabilityLeft + p*reliabilitySide }
	y := func(p float64) float64 { return reliabilityTop + (1-p)*reliabilitySide }
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" font-family="sans-serif" font-size="11" fill="#222">`+"\n", width, height, width, height)
	fmt.Fprintf(&b, "<title>%s</title>\n", escaped(fmt.Sprintf("How often the leading fault is there, over its probability; calibration error %.3f", t.Calibration.Expected)))
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="#fff"/>`+"\n", width, height)
	fmt.Fprintf(&b, `<text x="10" y="20" font-size="13" font-weight="bold">%s</text>`+"\n", escaped("Does the leading probability hold?"))
	fmt.Fprintf(&b, `<text x="10" y="37">%s</text>`+"\n", escaped(fmt.Sprintf("%d staged cars, checks: %s; error %.3f", t.Jobs, t.Checks, t.Calibration.Expected)))
	for k := 0; k <= 5; k++ {
		p := float64(k) / 5
		fmt.Fprintf(&b, `<path d="M%.1f %.1fH%.1fM%.1f %.1fV%.1f" stroke="#ddd" fill="none"/>`+"\n", x(0), y(p), x(1), x(p), y(1), y(0))
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="end">%d</text><text x="%.1f" y="%.1f" text-anchor="middle">%d</text>`+"\n", x(0)-6, y(p)+4, 20*k, x(p), y(0)+15, 20*k)
	}
	fmt.Fprintf(&b, `<path d="M%.1f %.1fL%.1f %.1f" stroke="#888" stroke-dasharray="4 3"/>`+"\n", x(0), y(0), x(1), y(1))
	fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle">said, %%</text>`+"\n", x(0.5), y(0)+31)
	fmt.Fprintf(&b, `<text transform="translate(16 %.1f) rotate(-90)" text-anchor="middle">right, %% (bars: 95 %% confidence)</text>`+"\n", y(0.5))
	most := 1
	for _, bin := range t.Calibration.Bins {
		most = max(most, bin.Right.Of)
	}
	foot := y(0) + 48 + reliabilityBars
	for _, bin := range t.Calibration.Bins {
		fmt.Fprintf(&b, `<path d="M%.1f %.1fV%.1f" stroke="#1f5f99" stroke-width="2"/><circle cx="%.1f" cy="%.1f" r="3.5" fill="#1f5f99"/>`+"\n",
			x(bin.Said), y(bin.Right.From), y(bin.Right.To), x(bin.Said), y(bin.Right.Share))
		tall := float64(reliabilityBars) * float64(bin.Right.Of) / float64(most)
		fmt.Fprintf(&b, `<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="#9bb"/><text x="%.1f" y="%.1f" text-anchor="middle" font-size="9">%d</text>`+"\n",
			x(bin.From)+2, foot-tall, x(bin.To)-x(bin.From)-4, tall, (x(bin.From)+x(bin.To))/2, foot+11, bin.Right.Of)
	}
	fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle">cars in each tenth</text>`+"\n", x(0.5), foot+24)
	b.WriteString("</svg>\n")
	return b.String()
}
