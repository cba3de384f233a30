package catalog

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"shoreward/internal/quantity"
)

// Part of an id, or an error that says what to do.
func (c *Catalog) Part(id string) (*Part, error) {
	if p, ok := c.Parts[id]; ok {
		return p, nil
	}
	return nil, fmt.Errorf("the catalogue has no part %q; `shoreward catalog` lists those it has", id)
}

// List is every part of a kind ("" = all), by id.
func (c *Catalog) List(kind Kind) []*Part {
	var out []*Part
	for _, id := range slices.Sorted(maps.Keys(c.Parts)) {
		if p := c.Parts[id]; kind == "" || p.Kind == kind {
			out = append(out, p)
		}
	}
	return out
}

// SystemList is every system, by id.
func (c *Catalog) SystemList() []*System {
	var out []*System
	for _, id := range slices.Sorted(maps.Keys(c.Systems)) {
		out = append(out, c.Systems[id])
	}
	return out
}

// Kit is a system as a job takes it: the foot-length kit for a job in feet and
// inches when there is one, else the metric one (or whichever of the two the
// basis can prove), holding only parts with values for the basis.
func (c *Catalog) Kit(id, basis string, style quantity.Style) (*System, error) {
	named, ok := c.Systems[id]
	if !ok {
		return nil, fmt.Errorf("the catalogue has no system %q; it has %s", id, list(c.Systems))
	}
	order := []*System{named}
	if feet, ok := c.Systems[named.Feet]; ok {
		order = append(order, feet)
		if style == quantity.US {
			slices.Reverse(order)
		}
	}
	for _, s := range order {
		if slices.Contains(s.Bases, basis) {
			return c.resolve(s, basis)
		}
	}
	return nil, fmt.Errorf("system %q cannot be proven on basis %q: its parts have values for %s only; take another system or give values in a catalogue of your own", id, basis, strings.Join(named.Bases, ", "))
}

// EdgeFormFor is the lowest edge form of a kit that is as high as the edge.
func (c *Catalog) EdgeFormFor(kit *System, height quantity.Length) (*Part, error) {
	var best *Part
	for _, id := range kit.EdgeForms {
		p, ok := c.Parts[id]
		if !ok || p.formHeight() < height-quantity.Millimetre {
			continue
		}
		if best == nil || p.formHeight() < best.formHeight() {
			best = p
		}
	}
	if best == nil {
		return nil, fmt.Errorf("system %q has no edge form for an edge of %.0f mm; add a higher one in a catalogue of your own", kit.ID, height.Millimetres())
	}
	return best, nil
}

// formHeight is how high an edge the part can form: the depth of a board on edge, the width of a strip of panel.
func (p *Part) formHeight() quantity.Length {
	if p.Kind == Sheet {
		return p.Width.V
	}
	return p.Depth.V
}

// resolve copies a system with only the parts that have values for the basis.
func (c *Catalog) resolve(s *System, basis string) (*System, error) {
	kit := *s
	usable := func(ids []string) (out []string) {
		for _, id := range ids {
			if p, ok := c.Parts[id]; ok && p.HasValues(basis) {
				out = append(out, id)
			}
		}
		return out
	}
	var lacking []string
	for _, role := range []struct {
		name string
		ids  *[]string
		must bool
	}{
		{"sheet", &kit.Sheets, true}, {"joist", &kit.Joists, true}, {"stringer", &kit.Stringers, true}, {"prop", &kit.Props, true},
		{"sill", &kit.Sills, len(s.Sills) > 0}, {"edge form", &kit.EdgeForms, len(s.EdgeForms) > 0},
	} {
		if *role.ids = usable(*role.ids); role.must && len(*role.ids) == 0 {
			lacking = append(lacking, role.name)
		}
	}
	if len(lacking) > 0 {
		return nil, fmt.Errorf("system %q has no %s with values for basis %q", s.ID, strings.Join(lacking, ", no "), basis)
	}
	kit.Sill, kit.EdgeForm = first(kit.Sills), first(kit.EdgeForms)
	return &kit, nil
}

// HasValues reports whether the part carries what the basis ("us" or "eu")
// needs to prove it. A rating still to be given counts: that is asked for by name.
func (p *Part) HasValues(basis string) bool {
	switch p.Kind {
	case Sheet:
		return basis == us && p.APA != nil || basis == eu && p.Panel != nil
	case Lumber:
		return basis == us && p.NDS != nil || basis == eu && p.EC5 != nil
	case Beam:
		return p.IBeam != nil
	}
	return true
}
