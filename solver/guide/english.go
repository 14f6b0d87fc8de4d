package guide

import "foldwright/solver/assemble"

// english is the only table so far. The cautions are general; what they advise
// is common practice, and times are from memory.
var english = wording{
	reverseMark: " rev", thePage: "the page",
	guide: "Assembly guide", untitled: "Pop-up",
	intro:    "How to put {title} together from its cut parts, in {steps}. Parts and places to glue carry the same letter: A goes to A.",
	cautions: "Before you start: take care", tools: "Tools", materials: "Materials", parts: "Parts", reading: "How to read the pictures",
	steps: "Steps", final: "When all is done", run: "Making several", jigs: "Distances for a jig", notices: "Know this first",
	match: "Match", check: "Check before the glue sets", wait: "Wait", page: "Page {n} of {of}",
	size: "Size", opens: "Opens to", paper: "Paper", grain: "Grain of the pages", pieces: "To do", height: "Height",
	shutOpen: "{w} by {h} shut, {open} by {h} open", opensTo: "{angle}", paperOf: "{caliper} thick, {grammage} g/m²",
	times:       "{pieces}, {joints}, {steps}",
	alongGutter: "along the gutter", acrossGutter: "across the gutter",
	piece: count{"part", "parts"}, joint: count{"joint", "joints"}, step: count{"step", "steps"},
	valley: count{"valley crease", "valley creases"}, mountain: count{"mountain crease", "mountain creases"}, letter: count{"letter", "letters"},
	and: " and ",

	cautionTitles: map[Tool]string{Knife: "Knives", CuttingMachine: "Cutting machines", Laser: "Lasers", PVA: "Glue", HotGlue: "Hot glue"},
	cautionTexts: map[Tool]string{
		Knife:          "Use a fresh blade, a steel rule and a cutting mat. Cut away from the hand that holds. Cap the knife when it is idle, and put used blades in a sharps container.",
		CuttingMachine: "Keep fingers, hair and sleeves clear. Stop the machine and unplug it before changing a blade. Leave its guards on. A guillotine is for those trained on it.",
		Laser:          "Paper catches fire almost at once. Never leave the laser alone; keep an extinguisher at hand. Use air assist and filtered extraction, low power and fast passes, and clear away scraps. Keep the beam enclosed and the interlocks working. No vinyl, foil, foam or coating of unknown make.",
		PVA:            "Read the label and the data sheet, and air the room. That it does not smell says nothing about its safety.",
		HotGlue:        "The nozzle and the glue burn skin. Stand the gun safely, let nobody reach across it, and unplug it after use.",
	},
	toolNames: map[Tool]string{
		Knife: "craft knife with fresh blades, steel rule, cutting mat", CuttingMachine: "cutting machine with a blade for this paper", Laser: "laser cutter with extraction",
		PVA: "small brush and a saucer for the glue", HotGlue: "hot glue gun on its stand",
	},
	always:         [2]string{"Rules that come first", "Local rules, the makers' instructions for your tools and materials, and the advice of people qualified on them come before anything said here."},
	children:       [2]string{"Children", "Stay with children at work, and keep blades, machines and hot glue from them. Small loose parts are not for small children. Nothing here states that a finished piece meets a safety standard."},
	otherTools:     []string{"bone folder or blunt scoring point", "ruler and square", "flat weights, such as heavy books, and clean scrap paper to press between"},
	otherMaterials: []string{"scrap paper under everything that is glued"},
	glues:          map[Tool]string{PVA: "white PVA glue", HotGlue: "sticks for the glue gun"},
	card:           "paper or card, {caliper} thick, {grammage} g/m² (slots and tabs are made for this thickness)",

	readCut:      "Solid line: cut.",
	readMountain: "Line of dashes and dots: mountain crease; the paper folds away from you, so that the crease stands up.",
	readValley:   "Dashed line: valley crease; the paper folds towards you, so that the crease sinks.",
	readGlue:     "Tinted area: glue goes here, or a part is glued here.",
	readLetter:   "A letter stands on a tab and again on the place it is glued to.",
	readReverse:  "“rev” after a letter: it is on the reverse of the part; the picture shows the printed face.",
	readNew:      "In the steps, what is new is amber with a heavy edge, drawn as it will stand when it is in place. Flags carry the letters.",

	unreachable: "For joint {letters} no order was found in which a finger gets to the place. Try it on a blank first, or change the design.",
	undecided:   "For joint {letters} the search for an order was ended early. They are the last step; try the order on a blank first.",
	problem:     "Not everything could be made as designed: {what}.",
	bare:        "There is too much to show: these steps have no picture: {n}. A guide of fewer mechanisms has them.",
	holdsOpen:   "By its numbers {part} does not let the page go from shut to fully open. Check the design before cutting.",

	titles: map[Kind]phrase{
		CutOut:           "Cut out the parts",
		assemble.Prepare: "Score and fold {part}",
		assemble.Thread:  "Lay {part} in place",
		assemble.Insert:  "Put {part} through {host}",
		assemble.Glue:    "Glue {part} to {host}",
		assemble.Shut:    "Close {part} onto {host}",
		OutOfReach:       "The joints that are hard to reach",
	},
	itself: "Close up {part}",

	cutByHand:    "Score first, while the sheet is whole. Then cut slots and inner lines, and outlines last.",
	cutByMachine: "Score first, then cut slots and inner lines, and outlines last. Cut a test square on a scrap of the same paper, and only then the sheet.",
	cutByLaser:   "Try scores and cuts on a scrap of the same paper until the scores do not go through. Score first, then cut slots and inner lines, and outlines last.",
	sortParts:    "Lay the parts out and count them against the list. Write the name of each on its waste or on a slip, not on its face.",

	scoreParts: "Score {part} along its {creases}, if the cutter has not done so. Press the line in; do not cut it.",
	scoreBead:  "A bead rises on the side away from the scoring tool, and it belongs inside the fold: score valleys from the reverse and mountains from the printed face.",
	foldOnce:   "Fold every crease once, all the way, valleys towards you and mountains away from you. Smooth it with the bone folder and open it again.",
	pushOut:    "Shut it slowly the first time, and push what is cut out of it forward from behind, so that its creases fold the right way.",

	thread:     "Lay {part} under {over}, as the picture shows, before that is glued down over it.",
	threadFree: "It must slide freely: put no glue on it.",

	legs: "Push the legs of {part} through the hole in {through}. Bend them outwards behind, and glue them to {host} where the letters {letters} match.",
	push: "Push {part} at {letters} through the slot with the same letter in {through}. Fold it flat behind, and glue it to {host} where the letters match.",
	lock: "Joint {letters} takes no glue: fold the wings of the tab in, push it through its slot until the shoulders are behind, and let the wings spring open.",
	mind: "Keep glue off the edges of the hole or slot.",

	film: map[bool]phrase{
		false: "Spread a thin film of glue on tab {letters} of {part}: all over, but not on the crease.",
		true:  "Spread a thin film of glue on tabs {letters} of {part}: all over, but not on the creases.",
	},
	warm: map[bool]phrase{
		false: "Draw a thin line of hot glue along tab {letters} of {part}, away from the crease.",
		true:  "Draw a thin line of hot glue along tabs {letters} of {part}, away from the creases.",
	},
	glueArea:    "Put glue thinly on {part} where it is marked {letters}.",
	layCrease:   "Lay {letters} on the mark of the same letter on {host}, with the crease of the tab exactly on the line where the piece stands. Press it down.",
	layArea:     "Lay it on the area marked {letters} on {host}, so that the outlines meet. Press it down.",
	markOnBack:  "The mark {letters} is on the reverse of {host}.",
	tabFace:     "The glue goes on the {face} of tab {letters}.",
	printedFace: "printed face", reverseFace: "reverse",
	bench:      "Work beside the page: this piece goes onto it later.",
	closePage:  "Fold {letters} over with the glue facing out. Lay the piece down, shut the page slowly onto it, and press from outside. The tab finds its own place.",
	foldFlat:   "Fold {letters} over with the glue facing out. Fold the piece flat onto it, and press. The tab finds its own place.",
	openAgain:  "Open it a little at once, and look whether the tab lies on its mark; move it while the glue is wet.",
	outOfReach: "Glue {letters} with whatever reaches the place, such as tweezers and a small brush, and try it on a blank before the good paper.",

	caption:      "{parts} in place, opened to {angle}, {view}.",
	captionBench: "{parts} beside the page, shown as at an opening of {angle}, {view}.",
	captionFlat:  "{part} laid flat, from its printed face.",
	views: [viewCount]string{
		viewReader: "seen from the foot", viewRight: "seen from the right of the foot", viewLeft: "seen from the left of the foot",
		viewHead: "seen from the head", viewBelow: "seen from behind and below",
	},

	checkCrease:  "Move the piece to and fro: it folds freely on its crease, and no glue has come out into the crease.",
	checkSlides:  "Pull what slides to and fro: it runs freely all the way.",
	checkTurns:   "Turn or move what the pivot holds: it goes round without dragging.",
	checkLetters: "The letters match, and the part is the right way round.",
	checkShut:    "Shut the page slowly: with {part} in it, it lies flat without force, and nothing reaches past its edge that did not before.",
	checkStands:  "Open it to {angle}: {part} stands {height}, give or take 1 mm for the paper and the hand.",
	checkRidge:   "Then the crease {fold} stands at {fold_angle} between its two panels.",
	checkLock:    "Tug {part}: the shoulders behind the slot hold.",
	waitPVA:      "Hold it for about two minutes, until it no longer slides (from memory; the label of the glue knows better).",
	waitPress:    "Leave it shut under a flat weight with scrap paper between: 10 to 30 minutes (from memory; the label of the glue knows better).",
	waitHot:      "Hold it still until the glue is cold. Do not touch the glue before.",

	finalShut:       "Shut it: it lies flat under its own weight, and nothing looks out at the edges.",
	finalOpen:       "Open and shut it ten times, slowly at first: nothing catches, tears, or folds the wrong way.",
	finalMoves:      "Every strip draws all the way as the page opens.",
	finalHand:       "Everything worked by hand moves freely from end to end with the page open.",
	finalHeight:     "Opened to {angle}, the highest point is {height} from the gutter, measured straight up between the pages.",
	finalHeightFlat: "Opened flat on a table, the highest point is {height} above the pages.",
	finalDry:        "Leave it shut under a light weight for a day before it is used much (from memory; the label of the glue knows better).",

	aboveFlat: "{height} above the page", aboveGutter: "{height} from the gutter, measured straight up between the pages",

	runEach:  "For {copies} copies, do each step for all of them before the next: while the last are being glued, the first dry.",
	runFirst: "Make one copy to the end first, check it, and only then cut the rest.",
	runStock: "Lay out {pieces} in stacks by name: {copies} of each part, more where the list says so.",
	runRest:  "Press copies in one pile with scrap paper between them, and keep the order: the first in is the first out.",
	runStops: "Use a jig: a board with stops for the foot and the gutter of the page, and card edges at the distances below. It places parts to about 0.25 mm, where a hand alone comes to 0.5 to 1 mm (common practice).",
	runIf:    "Stop and look for the cause when two copies in a row fail the same check.",

	jigNote:    "Where the creases and glued areas lie on the page, from the middle of the gutter and from the foot of the page.",
	jigPoint:   "{page}, {gutter} from the gutter, {foot} from the foot",
	jigLine:    "crease from {from} to {to}",
	jigArea:    "area between {from} and {to}",
	left:       "left page",
	right:      "right page",
	letterWord: "Letter", partWord: "Part", countWord: "Count", sizeWord: "Size", creaseWord: "Creases", whereWord: "Where",
}
