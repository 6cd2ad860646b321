package profile

import "wornway/profile/form"

// Key says of one key of the file what it is and how a turner finds it at the machine.
type Key = form.Key

// Keys lists the keys that describe a lathe, in the order in which a person would fill them in.
func Keys() []Key {
	return []Key{
		{Path: "lathe.name", Text: true, What: "what you call this machine",
			How:  "any text that tells it from the others in the shop",
			Inch: `"Bench lathe by the north wall"`, MM: `"Bench lathe by the north wall"`, Default: "no name"},
		{Path: "lathe.centre_height", Required: true, What: "spindle axis above the contacts of the front way",
			How: "measure from the middle of the front way's contacts up to the spindle axis; it is not the swing, " +
				"and not the height above the bed's top",
			Inch: "6.0", MM: "150.0"},
		{Path: "lathe.way_span", Required: true, What: "front way to rear way",
			How: "measure across the bed from the front way's contact centre to the rear way's; it is not the bed's " +
				"width",
			Inch: "8.0", MM: "200.0"},
		{Path: "lathe.axis_setback", What: "spindle axis behind the front way",
			How:  "measure from the front way's contact centre back to below the spindle axis",
			Inch: "4.0", MM: "100.0", Default: "half the way span"},
		{Path: "lathe.tool_post", Of: []string{"front", "rear"}, Text: true,
			What: "which side of the work the tool stands on",
			How:  `"front", the operator's side, or "rear"`,
			Inch: `"front"`, MM: `"front"`, Default: "front"},
		{Path: "lathe.bed", Along: true, Required: true, What: "the ways, from one end of the bed to the other",
			How: "positions along the bed count from the spindle nose, plus toward the tailstock; under the " +
				"headstock they are minus",
			Inch: "[-8.0, 44.0]", MM: "[-200.0, 1100.0]"},
		{Path: "lathe.unworn", Along: true, What: "stretches where the ways are as they were made",
			How:  "where the saddle never runs: scraping or grinding marks still stand there",
			Inch: "[[-8.0, -4.5], [40.5, 44.0]]", MM: "[[-200.0, -115.0], [1030.0, 1100.0]]",
			Default: "the first and the last twentieth of bed"},
		{Path: "lathe.twist_uncertainty", What: "how far the bed may be twisted, radians per length",
			How:  "leave it out, unless you levelled the bed and know it better",
			Inch: "1.3e-6", MM: "5.0e-8", Default: "0 for stated wear"},
		{Path: "lathe.front_way.outer_angle", Required: true, Plain: true,
			What: "flank that faces the operator, degrees from horizontal",
			How: "lay a protractor against the flank; 45 is the commonest, and unequal flanks have 25 and 65 or 35 " +
				"and 55",
			Inch: "45", MM: "45"},
		{Path: "lathe.front_way.inner_angle", Required: true, Plain: true,
			What: "flank that faces the spindle axis, degrees from horizontal",
			How:  "lay a protractor against the flank; on most beds the two angles add up to about 90",
			Inch: "45", MM: "45"},
		{Path: "lathe.front_way.contact_spacing", What: "sideways distance of the two flanks' middles of contact",
			How:  "blue the saddle and measure between the middles of the marks",
			Inch: "0.5", MM: "12.0", Default: "0"},
		{Path: "lathe.saddle.bearing_length", Along: true, Required: true,
			What: "length over which the saddle bears on the ways",
			How:  "measure the saddle along the bed from end bearing to end bearing; 0 takes it as a point at the tool",
			Inch: "11.0", MM: "280.0"},
		{Path: "lathe.saddle.bearing", Of: []string{"ends", "full"}, Text: true, What: "where it bears",
			How:  `"ends" for a saddle scraped hollow in the middle, as most are, or "full"`,
			Inch: `"ends"`, MM: `"ends"`, Default: "ends"},
		{Path: "lathe.saddle.tool_offset", Along: true,
			What: "tool tip from the saddle's middle, minus toward the headstock",
			How:  "measure along the bed from the middle of the saddle to the tool's tip", Inch: "-1.0", MM: "-25.0",
			Default: "0"},
		{Path: "lathe.saddle.seating", What: "how the saddle sits on worn ways: 0 gives and bears on both ends of " +
			"the rear way, 1 is stiff and rides on one",
			How: "with the machine isolated, press on one rear corner of the saddle and then on the other, an " +
				"indicator at it: 0 where nothing moves, 1 where it rocks by all that the ways under its ends " +
				"differ; leave it out where you do not know",
			Inch: "0.0", MM: "0.0", Default: "not known, which every ± counts"},
		{Path: "lathe.cross_slide.dial", Of: []string{"diameter", "radius"}, Required: true, Text: true,
			What: "what the dial counts",
			How: `turn it one division and indicate the slide: "diameter" where the slide goes half of what the ` +
				`dial says, "radius" where it goes all of it`, Inch: `"diameter"`, MM: `"diameter"`},
		{Path: "lathe.cross_slide.division", Required: true, What: "smallest mark of the dial, as it counts",
			How:  "read it off the dial",
			Inch: "0.001", MM: "0.02"},
		{Path: "lathe.cross_slide.finest", Plain: true, What: "finest setting you trust, in divisions",
			How:  "half a division is what most hands can set",
			Inch: "0.5", MM: "0.5", Default: "0.5"},
		{Path: "lathe.cross_slide.backlash", What: "backlash of the screw, as the dial counts; 0 for a digital readout",
			How:  "turn in against an indicator, then back until it just moves, and read the dial's difference",
			Inch: "0.008", MM: "0.2", Default: "there is some"},
		{Path: "lathe.compound.dial", Of: []string{"diameter", "radius"}, Required: true, Text: true,
			What: "what the compound's dial counts",
			How:  `as for the cross slide; most compounds have a "radius" dial`, Inch: `"radius"`, MM: `"radius"`},
		{Path: "lathe.compound.division", Required: true, What: "smallest mark of the compound's dial",
			How: "read it off the dial", Inch: "0.001", MM: "0.02"},
		{Path: "lathe.compound.finest", Plain: true, What: "finest setting you trust, in divisions",
			How:  "half a division is what most hands can set",
			Inch: "0.5", MM: "0.5", Default: "0.5"},
		{Path: "lathe.compound.backlash", What: "backlash of the compound's screw", How: "as for the cross slide",
			Inch: "0.006", MM: "0.15", Default: "there is some"},
		{Path: "lathe.tailstock.front_way_setback", What: "front tailstock way behind the front carriage way",
			How:  "measure across the bed from the front carriage way's contact centre",
			Inch: "2.5", MM: "65.0", Default: "a third of the way span"},
		{Path: "lathe.tailstock.rear_way_setback", What: "rear tailstock way behind the front carriage way",
			How:  "measure across the bed from the front carriage way's contact centre",
			Inch: "6.5", MM: "165.0", Default: "two thirds of the way span"},
		{Path: "lathe.tailstock.base_length", Along: true, What: "length over which the tailstock's base bears",
			How:  "measure the base along the bed from end to end",
			Inch: "6.0", MM: "150.0", Default: "the way span"},
		{Path: "lathe.tailstock.centre_offset", Along: true,
			What: "centre's point from the base's middle, minus toward the headstock",
			How:  "measure along the bed with the quill as it is used",
			Inch: "-4.0", MM: "-100.0", Default: "0"},
		{Path: "lathe.tailstock.aligned_at", Along: true,
			What: "where the centre's point stood when the centres were aligned",
			How:  "measure from the spindle nose",
			Inch: "20.0", MM: "500.0", Default: "not known"},
		{Path: "lathe.spindle.lean_out", What: "spindle axis leaves toward the operator, per length",
			How:  "indicate a test bar along its side over unworn ways, in two positions half a turn apart",
			Inch: "0.0", MM: "0.0", Default: "0"},
		{Path: "lathe.spindle.lean_up", What: "spindle axis rises, per length",
			How: "the same along the top of the bar", Inch: "0.0", MM: "0.0", Default: "0"},
		{Path: "lathe.spindle.lean_uncertainty", What: "how well that is known, standard, per length",
			How:  "leave it out where the lean is not known: the answer then says what it leaves out",
			Inch: "0.0", MM: "0.0", Default: "0"},
		{Path: "lathe.holding.jaws_front", Along: true, Required: true, What: "front face of the chuck's jaws",
			How:  "measure from the spindle nose, the chuck mounted, to where the jaws end",
			Inch: "3.5", MM: "90.0"},
		{Path: "lathe.holding.jaws_depth", Along: true, What: "how far stock may reach in behind the jaws' front",
			How:  "measure to what stops it: a chuck or spindle that the stock does not go through",
			Inch: "4.0", MM: "100.0", Default: "the stock goes through the spindle"},
		{Path: "lathe.holding.headstock_centre", Along: true, What: "point of the centre in the spindle",
			How:  "measure from the spindle nose to the point, for work between centres",
			Inch: "3.0", MM: "75.0", Default: "no work between centres"},
		{Path: "lathe.holding.longest_overhang", Plain: true,
			What: "how far work may stand out of the jaws with its end free, in diameters",
			How:  "3 is the common rule, and 5 is the limit", Inch: "3.0", MM: "3.0", Default: "3"},
		{Path: "lathe.holding.tailstock_travel", Along: true,
			What: "where the point of the tailstock's centre can stand",
			How:  "from where the saddle stops it to the bed's end, the quill as it is used",
			Inch: "[10.0, 40.0]", MM: "[250.0, 1000.0]", Default: "anywhere on the bed"},
		{Path: "lathe.holding.greatest_set_over", What: "how far the tailstock can be set over, to either side",
			How:  "turn its set-over screws to the end and measure",
			Inch: "0.5", MM: "12.0", Default: "0, it cannot be set over"},
		{Path: "lathe.holding.chuck_pull", What: "pull at a stout stub in the jaws, in newtons, by which the chuck " +
			"was tried",
			How: "with the spindle stopped, pull sideways with a spring balance and indicate the stub where you " +
				"pull; \"45 lbf\" may be written too, in quotes",
			Inch: "200", MM: "200", Default: "the chuck is taken as rigid"},
		{Path: "lathe.holding.chuck_gave", What: "how far the indicator moved under that pull",
			How:  "take the mean of both directions, and let the needle come back each time",
			Inch: "0.0002", MM: "0.005", Default: "the chuck is taken as rigid"},
		{Path: "lathe.holding.chuck_pulled_at", What: "where pull and indicator acted, from the jaws' front",
			How:  "measure along the stub from the jaws' front",
			Inch: "2.0", MM: "50.0", Default: "the chuck is taken as rigid"},
		{Path: "lathe.holding.steady", What: "whether there is a steady rest", How: "true or false", Inch: "true",
			MM: "true", Default: "false"},
	}
}

// WearKeys lists the keys that say how sure stated wear is.
func WearKeys() []Key {
	return []Key{
		{Path: "wear.uncertainty", What: "how sure the curve is at any one place, standard",
			How: "give the standard uncertainty of one entry, within which two in three lie, or leave it out where " +
				"nobody knows it",
			Inch: "0.0003", MM: "0.008", Default: "no ± is stated"},
		{Path: "wear.reach", What: "how far along the bed an error reaches: closer places are wrong together",
			How: "about as far as one setting of the indicator, straightedge or level served; places further apart " +
				"are off each by itself, however close the rows lie",
			Inch: "3.0", MM: "75.0", Default: "75 mm, which is 3 in"},
	}
}

// moreHints are those for keys that do not describe a lathe.
var moreHints = map[string]string{
	"damage.from": "give where it begins, counted from the spindle nose",
	"damage.to":   "give where it ends, counted from the spindle nose",
}

// how returns the hint for a key, whichever of several tables it stands in.
func how(path string) string {
	if h := form.HowOf(append(Keys(), WearKeys()...), path); h != "" {
		return h
	}
	return moreHints[form.Plain(path)]
}
