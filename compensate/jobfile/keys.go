package jobfile

import (
	"strings"

	"wornway/compensate/bend"
	"wornway/profile/form"
)

// Keys lists the keys of a job file, in the order in which a person would fill them in.
func Keys() []form.Key {
	named := []string{"job.material"}
	fit := []string{"feature.fit"}
	calculated := []string{"job.cut.radial_share"}
	forces := append([]string{"job.cut.radial_force", "job.cut.radial_force_uncertainty"}, calculated...)
	return []form.Key{
		{Path: "job.name", Text: true, What: "what you call the part",
			How: "any text that tells it from the other jobs", Inch: `"Pulley shaft"`, MM: `"Pulley shaft"`,
			Default: "no name"},
		{Path: "job.length", Required: true, What: "length of the finished part",
			How: "from the drawing; positions on the part count from its headstock end", Inch: "12.0", MM: "300.0"},
		{Path: "job.stock_diameter", Required: true, What: "diameter of the stock",
			How: "measure the bar; where no feature lies the part stays as thick as that", Inch: "1.75", MM: "45.0"},
		{Path: "job.stock_length", What: "length of the stock",
			How: "measure the bar: what it has more than the part reaches past the part's headstock end, for the " +
				"jaws to hold", Inch: "14.0", MM: "350.0",
			Default: "as long as the part"},
		{Path: "job.held", Text: true, What: "how the work may be held",
			How:  `"chuck", "chuck-and-centre" or "centres", or a list of those to choose from`,
			Inch: `["chuck-and-centre", "centres"]`, MM: `["chuck-and-centre", "centres"]`,
			Default: "any way that the lathe allows"},
		{Path: "job.grip", What: "least length that the jaws, or the dog, must hold",
			How: "one diameter holds by the common rule, less needs a lighter cut", Inch: "1.75", MM: "45.0",
			Default: "one stock diameter, or a third of the stock's length where that is less (common practice, no " +
				"source)"},
		{Path: "job.end_for_end", What: "whether the part may be turned end for end", How: "true or false",
			Inch: "true", MM: "true", Default: "false"},
		{Path: "job.jaws", Text: true, What: "how a chuck finds the part again when it is held once more",
			How: `"three-jaw" where it is just gripped, "four-jaw" where it is indicated true, or "soft-jaws" ` +
				`bored in place`,
			Inch: `"four-jaw"`, MM: `"four-jaw"`, Default: `"three-jaw"`},
		{Path: "job.tool_height", What: "tool's point above centre height, minus below",
			How: "measure against a centre in the spindle, the tool as it is set", Inch: "-0.005", MM: "-0.1",
			Default: "0, on centre"},
		{Path: "job.material", Text: true, What: "what the work is made of",
			How: "one of " + strings.Join(materials(), ", "), Inch: `"` + example() + `"`, MM: `"` + example() + `"`,
			Default: "not known; a cut then needs the next two"},
		{Path: "job.modulus", What: "the work's modulus of elasticity, N/mm²",
			How:  "in place of material: 206000 for steel, 70000 for aluminium, in N/mm² whatever the file's unit",
			Inch: "206000", MM: "206000",
			Default: "the material's", Instead: named},
		{Path: "job.specific_force", What: "force to cut a chip of 1 mm² as thin as this cut's, N/mm²",
			How:  "in place of material: from the tables of a tool maker, in N/mm² whatever the file's unit",
			Inch: "2500", MM: "2500",
			Default: "the material's", Instead: named},

		{Path: "job.cut.depth", Required: true, What: "depth of the finishing cut, on the radius",
			How: "half of what it takes off the diameter; it may be left out beside radial_force", Inch: "0.01",
			MM: "0.25"},
		{Path: "job.cut.feed", Required: true, What: "feed per turn",
			How: "read it off the gearbox; it may be left out beside radial_force or collars", Inch: "0.004",
			MM: "0.1"},
		{Path: "job.cut.approach", Plain: true, What: "angle between the cutting edge and the work's axis, degrees",
			How: "90 for a tool that cuts a square shoulder", Inch: "90", MM: "90", Default: "90"},
		{Path: "job.cut.spring_passes", Plain: true, What: "further passes at the same setting",
			How: "how many you take, so that what has sprung away is cut too", Inch: "1", MM: "1", Default: "0"},
		{Path: "job.cut.radial_share", What: "share of the cutting force that pushes the work away from the tool",
			How:  "a sharp tool with a small nose has less, a blunt one more",
			Inch: "0.4", MM: "0.4", Default: "0.4, known within half of it (common practice, no source)"},
		{Path: "job.cut.radial_force", What: "force that pushes the work away from the tool, in newtons",
			How: `a number of newtons, or a text such as "9 lbf"`, Inch: `"9 lbf"`, MM: "40",
			Default: "calculated from the material, depth and feed", Instead: calculated},
		{Path: "job.cut.radial_force_uncertainty", What: "how well that force is known, standard, in newtons",
			How: "half of what you would bet on, in newtons", Inch: `"1 lbf"`, MM: "4",
			Default: "a tenth of the force", Instead: calculated},

		{Path: "job.cut.collars.distance", Required: true, What: "middle of two collars on a test piece, from the " +
			"jaws' front", How: "turn two collars side by side on a bar of this material, held by the jaws alone, in " +
			"the chuck that the part is made in; as far out as is safe",
			Inch: "5.0", MM: "125.0", Instead: forces},
		{Path: "job.cut.collars.diameter", Required: true, What: "diameter of the bar that they are on",
			How: "measure it between the jaws and the collars", Inch: "1.0", MM: "25.0", Instead: forces},
		{Path: "job.cut.collars.depths", Required: true, What: "depths of their last cuts, on the radius",
			How:  "the shallow one first; feed and tool as for the job, and the dial at the same reading for both",
			Inch: "[0.005, 0.02]", MM: "[0.1, 0.5]",
			Instead: forces},
		{Path: "job.cut.collars.oversize", Required: true, What: "how much bigger the deeper-cut collar came out, on " +
			"diameter", How: "measure both with one micrometer; the work sprang away further under the deeper cut",
			Inch: "0.0006", MM: "0.015",
			Instead: forces},
		{Path: "job.cut.collars.uncertainty", Required: true, What: "how well that difference is known, standard",
			How: "measure each collar a few times: the spread tells", Inch: "0.0001", MM: "0.002", Instead: forces},

		{Path: "feature.name", Required: true, Text: true, What: "what you call it",
			How: "a name that no other feature of the part has", Inch: `"pulley seat"`, MM: `"pulley seat"`},
		{Path: "feature.from", Required: true, What: "its end nearer to the headstock",
			How: "measure from the part's headstock end", Inch: "5.0", MM: "120.0"},
		{Path: "feature.to", Required: true, What: "its end nearer to the tailstock",
			How: "measure from the part's headstock end", Inch: "7.0", MM: "170.0"},
		{Path: "feature.diameter", Required: true, What: "its nominal diameter", How: "from the drawing", Inch: "1.5",
			MM: "40.0"},
		{Path: "feature.bore", What: "whether it is a bore", How: "true for a bore; outside work otherwise",
			Inch: "false", MM: "false", Default: "false"},
		{Path: "feature.fit", Text: true, What: "its fit, of which the limits of size follow",
			How:  "as the drawing has it: a small letter for a shaft, a capital for a bore; or give upper and lower",
			Inch: `"k6"`, MM: `"k6"`,
			Default: "no limits of size"},
		{Path: "feature.upper", What: "greatest deviation allowed from the diameter",
			How: "in place of fit, with its sign: 0.0 where the nominal size is the greatest", Inch: "0.0007",
			MM: "0.018", Default: "no limits of size", Instead: fit},
		{Path: "feature.lower", What: "least deviation allowed from the diameter",
			How: "in place of fit, with its sign: minus lies below the nominal size", Inch: "0.0001", MM: "0.002",
			Default: "no limits of size", Instead: fit},
		{Path: "feature.spread", What: "greatest less smallest diameter allowed over its length",
			How: "from the drawing, or what the fit can bear", Inch: "0.0004", MM: "0.01",
			Default: "what the limits of size allow"},
		{Path: "feature.taper", What: "greatest difference allowed between the diameters at its two ends",
			How: "from the drawing, or what the fit can bear", Inch: "0.0003", MM: "0.008",
			Default: "what the limits of size allow"},
		{Path: "feature.runout", What: "greatest runout to another feature, as the indicator's total reading",
			How:  "from the drawing; what an indicator on this feature may show, the part turning about the other",
			Inch: "0.0005", MM: "0.012",
			Default: "none asked; no plan with two chuckings then comes before one that needs none"},
		{Path: "feature.runout_to", Text: true, What: "the name of that other feature",
			How: "beside runout: the feature that this one is to run true to", Inch: `"left bearing seat"`,
			MM: `"left bearing seat"`, Default: "none"},
		{Path: "feature.sized", Text: true, What: "how it is brought to size",
			How: `"in-place" where it is measured and the dial set for it, ` +
				`"once" where it is turned by the dial as another feature's measurement set it`,
			Inch: `"in-place"`, MM: `"in-place"`, Default: "whichever suits the plan"},
	}
}

// example is a material for examples.
func example() string { return bend.Materials()[0].Name }

// how returns the hint for a key.
func how(path string) string { return form.HowOf(Keys(), path) }
