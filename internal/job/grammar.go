package job

import (
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Bounds beyond which a value is a slip of the pen, not a building.
const (
	farthest  = 10 * 1000 * quantity.Metre // of a coordinate from the job's origin
	tallest   = 1000 * quantity.Metre
	thickest  = 3 * quantity.Metre // a slab, a wall's or beam's width
	broadest  = 10 * quantity.Metre
	heaviest  = 60 * quantity.Kilopascal
	manyParts = 1_000_000
)

// coordinate, point and outline are the geometry of the file.
func coordinate() form { return length("a length", -farthest, farthest) }
func point() form      { return listOf("a point [x, y]", coordinate(), 2, 2) }
func outline() form {
	return listOf("an outline: a list of at least three corners [x, y]", point(), 3, 0)
}

// grammar is every key of a job file.
var grammar = keysOf("the job",
	must("job", text("the name of the job"), "name of the job"),
	must("basis", choice("us", "eu"), "design rules in force"),
	must("lengths", choice("ft", "in", "m", "mm"), "unit of bare numbers; also decides how results are written"),
	must("system", text("a system of the catalogue"), "equipment system of the catalogue or of your own file"),
	may("catalog", text("the path of a file"), "your own catalogue, beside this file"),
	must("concrete", concreteForm, "concrete as specified"),
	may("grid", keysOf("the grid",
		may("x", tableOf("lines by name", coordinate()), "lines of constant x, by name, rising"),
		may("y", tableOf("lines by name", coordinate()), "lines of constant y, by name, rising"),
	), "gridlines that setting-out is measured from"),
	must("levels", listOf("a list of levels", levelForm, 1, 0), "storeys, from the lowest up"),
	may("rules", rulesForm, "the engineer's choices within the basis"),
	may("deck", deckForm, "choices about the deck"),
	may("rates", ratesForm, "money and time"),
	may("crew", keysOf("the crew",
		must("carpenters", whole("a count of carpenters", 0, 1000), "carpenters"),
		must("labourers", whole("a count of labourers", 0, 1000), "labourers"),
		must("hours", number("hours a day", 1, 24), "hours worked in a day"),
	), "people on the job"),
	may("stock", tableOf("counts by part", whole("a count of pieces", 0, manyParts)), "what the yard has, by part of the catalogue"),
	may("floors", keysOf("the cycle of floors",
		may("cycle", amount("a duration like 5 days", quantity.Durations, hours(1), hours(24*365)).or("find", 0), "time from floor to floor, or find"),
		may("shores", whole("a count of levels", 1, 20).or("find", 0), "levels of shores, or find"),
		may("reshores", whole("a count of levels", 0, 20).or("find", 0), "levels of reshores, or find"),
	), "cycle of the floors"),
	may("storeys", storeysForm, "what following the loads through all levels needs"),
	may("pins", listOf("a list of pins", pinForm, 0, 0), "parts fixed, moved or forbidden"),
)

var concreteForm = keysOf("the concrete",
	must("strength", amount("a strength with its unit", quantity.Stresses, 5*quantity.Megapascal, 200*quantity.Megapascal), "specified compressive strength"),
	may("weight", amount[quantity.UnitWeight]("a weight with its unit", quantity.UnitWeights, 10e3, 50e3), "weight of fresh reinforced concrete"),
	may("cement", text("the type of cement"), "cement type, for strength gain"),
)

var levelForm = keysOf("a level",
	must("name", text("a name"), "name of the level"),
	must("top", length("a height", -tallest, tallest), "top of slab"),
	must("base", value("a level's name or a height", map[string]any{"type": []string{"string", "number"}},
		func(*reader, *node) (string, string) { return "", "" }), // judged once the levels are known
		"what the props stand on: a level's name or an elevation"),
	must("pours", listOf("a list of pours", pourForm, 1, 0), "parts placed in one go"),
	may("design", designForm("the design loads of a level"), "what its slab is designed for, where storeys.design does not hold"),
	may("columns", listOf("a list of columns", keysOf("a column",
		must("at", point(), "centre"),
		may("size", listOf("two sizes [along x, along y]", size("a size", broadest), 2, 2), "sides of a rectangular column, along x and y"),
		may("round", size("a diameter", broadest), "diameter of a round column"),
		may("turn", amount("an angle", quantity.Angles, angle(-2*pi), angle(2*pi)), "turned counterclockwise"),
	), 0, 0), "columns under the slab"),
	may("walls", listOf("a list of walls", keysOf("a wall",
		must("from", point(), "start of the centreline"),
		must("to", point(), "end of the centreline"),
		must("thickness", size("a thickness", thickest), "thickness"),
	), 0, 0), "walls under the slab"),
)

var pourForm = keysOf("a pour",
	must("name", text("a name"), "name of the pour"),
	must("slab", keysOf("a slab",
		must("outline", outline(), "corners, counterclockwise"),
		must("thickness", size("a thickness", thickest), "thickness"),
		may("openings", listOf("a list of outlines", outline(), 0, 0), "openings, each an outline"),
		may("fall", fallForm, "how the slab slopes: its top, and its soffit with it"),
	), "slab of the pour"),
	may("drops", listOf("a list of drops", keysOf("a drop",
		must("outline", outline(), "corners, counterclockwise"),
		must("thickness", size("a thickness", thickest), "whole thickness with the slab"),
	), 0, 0), "drop panels and thickenings"),
	may("beams", listOf("a list of beams", keysOf("a beam",
		must("from", point(), "start of the centreline"),
		must("to", point(), "end of the centreline"),
		must("width", size("a width", thickest), "width"),
		must("depth", size("a depth", thickest), "whole depth with the slab"),
	), 0, 0), "beams cast with the slab"),
	may("steps", listOf("a list of steps", keysOf("a step",
		must("outline", outline(), "corners, counterclockwise"),
		must("rise", length("a height", -thickest, thickest), "of its top over the level's top, negative where it lies lower"),
		may("thickness", size("a thickness", thickest), "its thickness, without it that of the slab"),
	), 0, 0), "parts whose top lies higher or lower"),
	may("edges", listOf("a list of edges", keysOf("an edge",
		must("on", listOf("the ends of the edge [x1, y1, x2, y2]", coordinate(), 4, 4), "ends of the piece of edge"),
		must("kind", choice("free", "wall", "joint"), "what stands there"),
	), 0, 0), "what stands at edges; free unless a wall lies there"),
	may("date", date(), "day of the pour"),
)

var fallForm = keysOf("a fall",
	must("from", point(), "where its top has the height given; it falls from there"),
	must("to", point(), "place toward which it falls, straight from the first"),
	may("drop", size("a height", 50*quantity.Metre), "how much lower its top is at the second place; or slope"),
	may("slope", slope(), "what it falls over what that is in plan; or drop"),
	may("top", length("a height", -tallest, tallest), "top of slab at the first place; without it that of the level"),
)

var pinForm = keysOf("a pin",
	must("pour", text("the name of a pour"), "pour it belongs to"),
	must("kind", choice("keep", "forbid", "clear", "joists", "joint"), "what is fixed"),
	may("part", text("a part of the catalogue"), "part that is kept or forbidden"),
	may("as", choice("prop", "stringer", "joist", "sheet", "line"), "what the part serves as; line: a line of stringers runs through the place"),
	may("at", point(), "place: axis of a prop, end that a beam starts from, corner of a sheet, a point of a line or joint"),
	may("area", outline(), "area kept clear, or in which the part is forbidden; without it the whole pour"),
	may("angle", amount("an angle", quantity.Angles, angle(-2*pi), angle(2*pi)), "direction, counterclockwise from x: from its place along a beam or the length of a sheet, whose width lies to the left; of joists; of a joint"),
)

var rulesForm = keysOf("the rules",
	may("live", amount("a load per area", quantity.Stresses, areaLoad(750), areaLoad(heaviest)), "construction live load while placing"),
	only(rules.US, "motor_carts", flag(), "concrete comes in motor carts"),
	may("strip_live", amount("a load per area", quantity.Stresses, areaLoad(750), areaLoad(heaviest)), "live load on the working strip"),
	may("forms", amount("a load per area", quantity.Stresses, areaLoad(0), areaLoad(20*quantity.Kilopascal)), "least weight of forms"),
	may("deflection", spanShare(), "deflection limit as a share of the span"),
	may("deflection_max", keysOf("the deflection limits",
		may("sheet", size("a deflection", 25*quantity.Millimetre).or("none", 0), "of sheets"),
		may("beam", size("a deflection", 25*quantity.Millimetre).or("none", 0), "of joists and stringers"),
	), "absolute deflection limits"),
	may("deflection_load", choice("all", "concrete"), "load of the deflection check: all, or forms and concrete only"),
	only(rules.US, "wet", flag(), "lumber is wet in service"),
	only(rules.US, "load_duration", number("a load duration factor", 0.9, 1.25), "of joists and stringers"),
	only(rules.US, "load_duration_posts", number("a load duration factor", 0.9, 1.25), "of posts"),
	only(rules.US, "prop_divisor", number("a divisor", 1.65, 10), "nominal prop strength over this is the working load"),
	only(rules.EU, "class", choice("B1", "B2"), "falsework design class"),
	only(rules.EU, "service_class", whole("a service class", 1, 3), "of sawn timber"),
	may("ground", amount("a pressure", quantity.Stresses, areaLoad(quantity.Kilopascal), areaLoad(5*quantity.Megapascal)), "bearing pressure that the ground takes"),
	may("lateral_share", amount("a share", quantity.Ratios, ratio(0.02), ratio(0.5)), "lateral load as a share of the dead load"),
	may("lateral_edge", amount[quantity.LineLoad]("a load per length", quantity.LineLoads, 0, 50e3), "least lateral load along the edge"),
)

var deckForm = keysOf("the deck",
	may("strip", length("a width", 0, 3*quantity.Metre), "working strip past a free edge"),
	may("hole_max", length("a size", 0, 5*quantity.Metre), "openings no wider than this on their smaller side are decked through"),
	may("lap_min", length("a lap", 0, quantity.Metre), "least lap of joists and stringers"),
	may("clearance", length("a gap", 0, 300*quantity.Millimetre), "gap from parts to columns and walls"),
	may("edge_of_stand", length("a distance", 0, quantity.Metre), "from props to the edge of what they stand on"),
	may("tie_load", amount("a force", quantity.Forces, 100*quantity.Newton, 1000*quantity.Kilonewton), "rating that every tie must have"),
	may("brace_load", amount("a force", quantity.Forces, 100*quantity.Newton, 1000*quantity.Kilonewton), "horizontal rating that every brace must have"),
	may("guard_pitch", length("a pitch", 300*quantity.Millimetre, 3*quantity.Metre), "largest distance of guardrail posts"),
	may("kicker_pitch", length("a pitch", 100*quantity.Millimetre, 3*quantity.Metre), "largest distance of edge-form kickers"),
	may("side_room", length("a width", 75*quantity.Millimetre, 300*quantity.Millimetre), "from the side of a beam, drop or step to the joists and stringers beside it: room for panel, kickers and studs of the side form"),
	may("bearing", length("a bearing", 10*quantity.Millimetre, 100*quantity.Millimetre), "least bearing of a sheet's end on a joist"),
	may("objective", choice("money", "pieces", "weight", "grading"), "what the layout makes least: money, pieces, weight, or operations of setting props to grade, of which ties go to the cheaper"),
	may("one_man_lift", amount[quantity.Mass]("a mass", quantity.Masses, 5, 50), "parts heavier than this are carried by two"),
	may("kerf", length("a width", 0, 20*quantity.Millimetre), "width of a saw cut in a sheet"),
	may("offcut_min", length("a size", 50*quantity.Millimetre, 3*quantity.Metre), "a rest of a sheet with both sides at least this is kept for later pours"),
	may("two_person", choice("allow", "forbid"), "whether parts carried by two may be used where lighter ones are to be had"),
)

// perKilo is the units of time per kilogram carried, in h.
var perKilo = quantity.Units{What: "time per kilogram", List: []quantity.Unit{
	{Size: 1.0 / 60, Spelt: []string{"min/kg"}}, {Size: 1.0 / 3600, Spelt: []string{"s/kg"}}, {Size: 1, Spelt: []string{"h/kg"}}}}

var ratesForm = keysOf("the rates",
	may("wage", number("money per hour", 0, 1e6), "money for an hour of work"),
	may("piece_time", amount("a duration like 2 min", quantity.Durations, hours(0), hours(8)), "handling one piece, set and strip together"),
	may("grade_time", amount("a duration like 6 min", quantity.Durations, hours(0), hours(8)), "setting a grade prop to elevation"),
	may("kilo_time", amount("a time like 0.02 min/kg", perKilo, hours(0), hours(1)), "on top, for each kilogram carried"),
	may("cut", amount("a duration like 4 min", quantity.Durations, hours(0), hours(8)), "one sawn cut of a sheet"),
	may("waste", number("money", 0, 1e6), "money per m2 of panel wasted"),
	may("hire", tableOf("money by part", number("money per piece and use", 0, 1e6)), "hire or wear, per piece and use, by part"),
)

const pi = 3.141592653589793
