package job

import (
	"fmt"

	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/yamlfile"
)

// assume records a default that stands in for what the file does not say.
func (r *reader) assume(key, value, reason string) {
	r.job.Assumed = append(r.job.Assumed, Assumption{key, value, reason})
}

// section is a block of settings: what the file says, else the default.
type section struct {
	r     *reader
	name  string
	block *node
	why   string         // reason of the defaults
	legal func() []error // what the rules say of the settings so far, nil for nothing
}

// take puts the file's value into dst, or keeps the default there and records it.
func take[T printed](s section, key string, dst *T) {
	s.take(key, func(n *node) { *dst = T(n.Value) }, func() string { return (*dst).Text(s.r.style) })
}

// take is the general form: set reads the node, text writes the default.
func (s section) take(key string, set func(*node), text func() string) {
	switch n := s.block.Get(key); {
	case n == nil:
		s.r.assume(s.name+key, text(), s.why)
	case n.OK():
		set(n)
		if s.legal == nil {
			return
		}
		for _, err := range s.legal() { // the defaults are legal, so this key is to blame
			if text := err.Error(); !s.r.said[text] {
				s.r.said[text] = true
				s.r.problem(n, text, "change it, or leave it out and take the default")
			}
		}
	}
}

// load and others let a setting be written in its own way.
func (s section) load(key string, dst *quantity.Stress) {
	s.take(key, func(n *node) { *dst = quantity.Stress(n.Value) }, func() string { return dst.LoadText(s.r.style) })
}

func (s section) time(key string, dst *quantity.Duration) {
	s.take(key, func(n *node) { *dst = quantity.Duration(n.Value) }, func() string { return dst.Text() })
}

func (s section) plain(key string, dst *float64) {
	s.take(key, func(n *node) { *dst = n.Value }, func() string { return ratio(*dst).Text(s.r.style) })
}

func (s section) flag(key string, dst *bool) {
	s.take(key, func(n *node) { *dst = n.Value == 1 }, func() string { return fmt.Sprint(*dst) })
}

func (s section) deflection(key string, dst *quantity.Length) {
	s.take(key, func(n *node) { *dst = quantity.Length(n.Value) }, func() string {
		if *dst == 0 {
			return "none"
		}
		return dst.Text(s.r.style)
	})
}

// settings reads concrete, rules, deck and rates over their defaults.
func (r *reader) settings(root *node) {
	r.rules(root.Get("rules"))
	r.concrete(root.Get("concrete"))
	r.deck(root.Get("deck"))
	r.rates(root.Get("rates"))
}

func (r *reader) concrete(n *node) {
	c := &r.job.Concrete
	c.Strength = quantity.Stress(num(n.Get("strength")))
	c.Cement = word(n.Get("cement"))
	c.Weight = r.job.Settings.ConcreteWeight
	s := section{r: r, name: "concrete.", block: n, why: fmt.Sprintf("default of basis %s for normal weight reinforced concrete", r.basis)}
	take(s, "weight", &c.Weight)
	r.job.Settings.ConcreteWeight = c.Weight
}

func (r *reader) rules(n *node) {
	set := rules.Defaults(r.basis)
	s := section{r: r, name: "rules.", block: n, why: fmt.Sprintf("default of basis %s", r.basis), legal: func() []error { return set.Validate() }}
	if r.basis == rules.US {
		s.flag("motor_carts", &set.MotorCarts) // first: it decides which live load is enough
	}
	s.load("live", &set.LiveLoad)
	s.load("strip_live", &set.StripLive)
	s.load("forms", &set.FormAllowance)
	s.take("deflection", func(n *node) { set.DeflectionSpan = n.Value }, func() string { return fmt.Sprintf("L/%.0f", set.DeflectionSpan) })
	most := s
	most.name, most.block = "rules.deflection_max.", n.Get("deflection_max")
	most.deflection("sheet", &set.DeflectionMaxSheet)
	most.deflection("beam", &set.DeflectionMaxBeam)
	s.take("deflection_load", func(n *node) { set.DeflectionConcreteOnly = n.Text == "concrete" }, func() string {
		if set.DeflectionConcreteOnly {
			return "concrete"
		}
		return "all"
	})
	switch r.basis {
	case rules.US:
		s.flag("wet", &set.WetService)
		s.plain("load_duration", &set.LoadDuration)
		s.plain("load_duration_posts", &set.LoadDurationPosts)
		s.plain("prop_divisor", &set.PropDivisor)
	case rules.EU:
		s.take("class", func(n *node) { set.ClassB2 = n.Text == "B2" }, func() string {
			if set.ClassB2 {
				return "B2"
			}
			return "B1"
		})
		s.take("service_class", func(n *node) { set.ServiceClass = int(n.Value) }, func() string { return fmt.Sprint(set.ServiceClass) })
	}
	s.load("ground", &set.GroundBearing)
	s.plain("lateral_share", &set.LateralShare)
	take(s, "lateral_edge", &set.LateralEdge)
	r.job.Settings = set
}

// deckDefaults are settings of the program in the units that the trade uses.
func deckDefaults(s quantity.Style) DeckSettings {
	d := DeckSettings{
		Strip: 600 * quantity.Millimetre, HoleMax: 1200 * quantity.Millimetre, LapMin: 300 * quantity.Millimetre,
		Clearance: 20 * quantity.Millimetre, EdgeOfStand: 150 * quantity.Millimetre,
		TieLoad: 10 * quantity.Kilonewton, BraceLoad: 4.5 * quantity.Kilonewton,
		GuardPitch: 2400 * quantity.Millimetre, KickerPitch: 600 * quantity.Millimetre, SideRoom: 100 * quantity.Millimetre, Bearing: 20 * quantity.Millimetre,
		Objective: "money", OneManLift: 25, TwoPerson: "allow", Kerf: 4 * quantity.Millimetre, OffcutMin: 250 * quantity.Millimetre,
	}
	if s == quantity.US {
		d.Strip, d.HoleMax, d.LapMin = 2*quantity.Foot, 4*quantity.Foot, 12*quantity.Inch
		d.Clearance, d.EdgeOfStand, d.Bearing = 0.75*quantity.Inch, 6*quantity.Inch, 0.75*quantity.Inch
		d.TieLoad, d.BraceLoad = 2.5*quantity.Kip, 1*quantity.Kip
		d.GuardPitch, d.KickerPitch, d.SideRoom = 8*quantity.Foot, 24*quantity.Inch, 4*quantity.Inch
		d.Kerf, d.OffcutMin = 3.0/16*quantity.Inch, 10*quantity.Inch
	}
	return d
}

func (r *reader) deck(n *node) {
	d := deckDefaults(r.style)
	s := section{r: r, name: "deck.", block: n, why: "setting of the program, common practice"}
	take(s, "strip", &d.Strip)
	take(s, "hole_max", &d.HoleMax)
	take(s, "lap_min", &d.LapMin)
	take(s, "clearance", &d.Clearance)
	take(s, "edge_of_stand", &d.EdgeOfStand)
	take(s, "guard_pitch", &d.GuardPitch)
	take(s, "kicker_pitch", &d.KickerPitch)
	take(s, "side_room", &d.SideRoom)
	take(s, "bearing", &d.Bearing)
	take(s, "one_man_lift", &d.OneManLift)
	take(s, "kerf", &d.Kerf)
	take(s, "offcut_min", &d.OffcutMin)
	s.take("two_person", func(n *node) { d.TwoPerson = n.Text }, func() string { return d.TwoPerson })
	s.take("objective", func(n *node) { d.Objective = n.Text }, func() string { return d.Objective })
	s.why = "setting of the program: the rating that whatever is used must be shown to have"
	take(s, "tie_load", &d.TieLoad)
	take(s, "brace_load", &d.BraceLoad)
	r.job.Deck = d
}

func (r *reader) rates(n *node) {
	const minute = quantity.Duration(1.0 / 60)
	t := Rates{Wage: 45, PieceTime: 2 * minute, GradeTime: 6 * minute, KiloTime: 0.02 * minute, Cut: 4 * minute, Waste: 10}
	s := section{r: r, name: "rates.", block: n, why: "setting of the program, low confidence: replace it by your own figures"}
	money := func(key, per string, dst *quantity.Money) {
		s.take(key, func(n *node) { *dst = quantity.Money(n.Value) }, func() string { return fmt.Sprintf("%g money units per %s", float64(*dst), per) })
	}
	money("wage", "hour", &t.Wage)
	s.time("piece_time", &t.PieceTime)
	s.time("grade_time", &t.GradeTime)
	s.take("kilo_time", func(n *node) { t.KiloTime = quantity.Duration(n.Value) }, func() string { return fmt.Sprintf("%.3g min/kg", float64(t.KiloTime/minute)) })
	s.time("cut", &t.Cut)
	money("waste", "m2 of panel wasted", &t.Waste)
	if hire := n.Get("hire"); hire != nil && hire.Shape == yamlfile.Block {
		t.Hire = map[string]quantity.Money{}
		for _, e := range hire.Entries {
			r.part(e.Key)
			t.Hire[e.Key.Text] = quantity.Money(num(e.Value))
		}
	} else if hire == nil {
		r.assume("rates.hire", "none", "the job gives no hire or wear: the cost counts handling and waste only")
	}
	r.job.Rates = t
}
