package job

import (
	"strings"

	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Template is a starter job with comments, in the units and basis asked for.
func Template(style quantity.Style, basis rules.Name) []byte {
	var pairs []string
	for _, w := range templateWords {
		text := w.metric
		if style == quantity.US {
			text = w.us
		}
		pairs = append(pairs, "<"+w.name+">", text)
	}
	set, cement := templateRulesUS, "I"
	if basis == rules.EU {
		set, cement = templateRulesEU, "N"
	}
	pairs = append(pairs, "<basis>", string(basis), "<rules>", set, "<cement>", cement)
	return []byte(strings.NewReplacer(pairs...).Replace(templateText))
}

// templateWords are the figures of the starter job in both styles.
var templateWords = []struct{ name, metric, us string }{
	{"lengths", "m", "ft"},
	{"example", "1200 mm", `12'-6 1/2"`},
	{"strength", "30 N/mm2", "5000 psi"},
	{"x", "{A: 0, B: 6.0, C: 12.0}", "{A: 0, B: 20, C: 40}"},
	{"y", "{1: 0, 2: 6.0}", "{1: 0, 2: 20}"},
	{"top", "3.20 m", "10'-6\""},
	{"base", "0 m", "0 ft"},
	{"outline", "[[0, 0], [12, 0], [12, 6], [0, 6]]", "[[0, 0], [40, 0], [40, 20], [0, 20]]"},
	{"thickness", "200 mm", "8 in"},
	{"opening", "[[2, 2], [3.2, 2], [3.2, 3.5], [2, 3.5]]", "[[6, 6], [10, 6], [10, 11], [6, 11]]"},
	{"column", "{at: [6, 3], size: [400 mm, 400 mm]}", "{at: [20, 10], size: [16 in, 16 in]}"},
	{"wall", "{from: [0, 0], to: [0, 6], thickness: 200 mm}", "{from: [0, 0], to: [0, 20], thickness: 8 in}"},
	{"edge", "{on: [0, 0, 0, 6], kind: wall}", "{on: [0, 0, 0, 20], kind: wall}"},
	{"drop", "{outline: [[5, 2], [7, 2], [7, 4], [5, 4]], thickness: 350 mm}", "{outline: [[16, 6], [24, 6], [24, 14], [16, 14]], thickness: 14 in}"},
	{"beam", "{from: [0, 5.85], to: [12, 5.85], width: 300 mm, depth: 500 mm}", "{from: [0, 19.5], to: [40, 19.5], width: 12 in, depth: 20 in}"},
	{"step", "{outline: [[0, 0], [3, 0], [3, 2], [0, 2]], rise: -50 mm}", "{outline: [[0, 0], [10, 0], [10, 6], [0, 6]], rise: -2 in}"},
	{"strip", "600 mm", "2 ft"},
	{"prop", "prop-e30", "prop-e30"},
	{"stringer", "beam-390", "beam-12ft"},
	{"place", "[4, 3]", "[12, 9]"},
	{"area", "[[8, 0], [9.5, 0], [9.5, 6], [8, 6]]", "[[28, 0], [33, 0], [33, 20], [28, 20]]"},
	{"lift", "25 kg", "55 lb"},
	{"room", "100 mm", "4 in"},
	{"ground", "71.8 kN/m2", "1500 psf"},
	{"design_dead", "1.0 kN/m2", "20 psf"},
	{"design_live", "3.0 kN/m2", "60 psf"},
	{"design_span", "6.0", "20"},
	{"temperature", "10 C", "50 F"},
	{"strip_strength", "20 N/mm2", "3000 psi"},
}

const templateRulesUS = `#  live: 50 psf                # construction live load
#  deflection: L/360           # of sheets, joists and stringers
#  deflection_max: {sheet: 1/16 in, beam: 1/4 in}
#  wet: true                   # lumber gets wet
#  load_duration: 1.0          # 1.25 for gear that is not used again and again
#  prop_divisor: 1.7`

const templateRulesEU = `#  live: 0.75 kN/m2            # construction operations
#  deflection: L/270           # of sheets, joists and stringers
#  class: B2                   # falsework design class, B1 or B2
#  service_class: 3            # of sawn timber`

// The starter job. Lines that begin with "#  " are keys to be switched on.
const templateText = `# A job for Shoreward. Every value that you give is used as given; every value that you
# leave out and that has a default is listed in the calculation book as assumed.
# A length may carry its unit (<example>); without one it is in the unit of "lengths".

job: New job                   # a name for drawings and books
basis: <basis>                      # us (ACI, NDS, APA) or eu (EN 12812, EN 1995)
lengths: <lengths>                     # ft, in, m or mm: also how results are written
system: timber-beam            # "shoreward catalog" lists the systems
#catalog: my-gear.yaml         # your own parts, beside this file

concrete: {strength: <strength>, cement: <cement>}   # and weight, when it is not normal weight concrete

# Gridlines; setting-out is measured from them.
grid:
  x: <x>
  y: <y>

levels:                        # from the lowest up
  - name: L1
    top: <top>                # top of slab
    base: <base>                  # what the props stand on: a height, or the name of a level below
    pours:
      - name: L1-A
        slab:
          outline: <outline>   # corners counterclockwise
          thickness: <thickness>   # fall: {from: [x, y], to: [x, y], slope: 2 %} beside it slopes the slab
          openings:
            - <opening>
#        drops: [<drop>]
#        beams: [<beam>]
#        steps: [<step>]   # parts whose top lies lower or higher
        edges: [<edge>]   # free, wall or joint; free unless a wall lies there
#        date: 2027-03-02
    columns: [<column>]
    walls: [<wall>]

# The engineer's choices. Shown are the defaults.
#rules:
<rules>
#  ground: <ground>           # what the soil takes under sills

# Choices about the deck.
#deck:
#  strip: <strip>               # working strip past a free edge
#  side_room: <room>           # beside a beam or drop for its side form
#  objective: money            # or pieces, weight, grading (fewest props set to grade)
#  one_man_lift: <lift>         # heavier parts are carried by two
#  two_person: allow           # or forbid: use lighter parts where there are any

# Money and time: put in your own.
#rates:
#  wage: 45                    # for an hour of work
#  piece_time: 2 min           # handling a piece, set and strip together
#  grade_time: 6 min           # setting a prop to elevation
#  hire: {<prop>: 0.40}       # hire or wear of a piece for one use, by part
#  waste: 10                   # for a square metre of panel that becomes offcut

# Loads through all levels: "shoreward storeys" and the plan follow them, see docs/storeys.md.
#floors: {cycle: find, shores: 1, reshores: find}
#storeys:
#  design: {dead: <design_dead>, live: <design_live>, span: <design_span>}   # what the slabs are designed for
#  temperature: <temperature>           # of the concrete, the least to be expected; or forecast, log
#  strip_strength: <strip_strength>     # that the engineer asks for before forms go

# What the yard has, by part: the layout plans within it, or says what is short.
#stock: {<prop>: 400}

# What you fix by hand. The plan obeys, or says why it cannot.
#pins:
#  - {pour: L1-A, kind: clear, area: <area>}   # no props: a passage
#  - {pour: L1-A, kind: joists, angle: 90 deg}                       # direction of joists
#  - {pour: L1-A, kind: keep, part: <prop>, at: <place>}           # a prop stays here
#  - {pour: L1-A, kind: keep, as: line, at: <place>}                # a line of stringers runs through here
#  - {pour: L1-A, kind: keep, part: <stringer>, as: stringer, at: <place>, angle: 0 deg}   # a stringer starts here; so joists
#  - {pour: L1-A, kind: forbid, part: <stringer>}                   # nowhere; with an area, not there
#  - {pour: L1-A, kind: joint, at: <place>, angle: 90 deg}          # nothing runs across: one side can be struck alone
`
