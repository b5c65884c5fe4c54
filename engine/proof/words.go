package proof

import "fmt"

// words reports rules without a reason, and figures without a source.
func (r *reader) words() {
	for _, rule := range r.pack.Rules {
		if rule.Because == "" {
			p := at(rule.At, rule.ID, "rule %q has no %q", rule.ID, "because")
			p.Hint = "say why it is so, as a trainer would; it is shown with every verdict"
			r.add("no-because", excuses{rule.Excuses}, p)
		}
	}
	for _, v := range r.pack.Vehicles {
		if v.Source != "" {
			continue
		}
		var bare []string
		first := v.At
		for _, s := range v.Specs {
			if s.Source != "" {
				continue
			}
			id := r.pack.Readings[s.Reading].ID
			if bare == nil || s.At.Line < first.Line || s.At.Line == first.Line && s.At.Column < first.Column {
				first, bare = s.At, append([]string{id}, bare...)
			} else {
				bare = append(bare, id)
			}
		}
		if bare == nil {
			continue
		}
		p := at(first, bare[0], "nobody has said where this figure of %q comes from", v.ID)
		if n := len(bare); n > 1 {
			p.Text = sayMany(n, v.ID)
		}
		p.Hint = `add "source" to the figure, or to the vehicle for all of them`
		r.add("no-source", excuses{v.Excuses}, p)
	}
}

func sayMany(n int, vehicle string) string {
	return fmt.Sprintf("nobody has said where these %d figures of %q come from", n, vehicle)
}
