package guide

import "strings"

// phrase is a sentence with places for what it is about, in braces.
type phrase string

// with fills the places: a name and its value in turn.
func (p phrase) with(pairs ...string) string {
	for i := 0; i < len(pairs); i += 2 {
		pairs[i] = "{" + pairs[i] + "}"
	}
	return strings.NewReplacer(pairs...).Replace(string(p))
}

// count is a noun after a number: one of it, or more.
type count struct{ one, many string }

func (c count) of(n int) string {
	if n == 1 {
		return "1 " + c.one
	}
	return decimal(float64(n), 0) + " " + c.many
}

// wording is everything the guide says. Another language is another table.
type wording struct {
	reverseMark                                  string // after a letter; as package pattern writes it
	thePage                                      string
	guide, untitled                              string
	intro                                        phrase
	cautions, tools, materials, parts, reading   string
	steps, final, run, jigs, notices             string
	match, check, wait                           string
	page                                         phrase
	size, opens, paper, grain, pieces, height    string
	shutOpen, opensTo, paperOf, times            phrase
	alongGutter, acrossGutter                    string
	piece, joint, step, valley, mountain, letter count
	and                                          string

	cautionTitles, cautionTexts map[Tool]string
	toolNames                   map[Tool]string
	always, children            [2]string // title and text
	otherTools, otherMaterials  []string
	glues                       map[Tool]string
	card                        phrase

	readCut, readMountain, readValley, readGlue, readLetter, readReverse, readNew string

	unreachable, undecided, problem, holdsOpen, bare phrase

	titles map[Kind]phrase
	itself phrase

	cutByHand, cutByMachine, cutByLaser, sortParts string

	scoreParts phrase
	scoreBead  string
	foldOnce   string
	pushOut    string

	thread     phrase
	threadFree string

	legs, push, lock phrase
	mind             string

	film, warm          map[bool]phrase // by whether there are several
	glueArea            phrase
	layCrease, layArea  phrase
	markOnBack, tabFace phrase
	printedFace         string
	reverseFace         string
	bench               string
	closePage, foldFlat phrase
	openAgain           string
	outOfReach          phrase

	caption, captionBench, captionFlat phrase
	views                              [viewCount]string

	checkCrease, checkSlides, checkTurns, checkLetters string
	checkShut, checkStands, checkRidge, checkLock      phrase
	waitPVA, waitPress, waitHot                        string

	finalShut, finalOpen, finalMoves, finalHand string
	finalHeight, finalHeightFlat                phrase
	finalDry                                    string
	aboveFlat, aboveGutter                      phrase

	runEach, runStock                  phrase
	runRest, runFirst, runStops, runIf string

	jigNote                         string
	jigPoint, jigLine, jigArea      phrase
	left, right                     string
	letterWord, partWord, countWord string
	sizeWord, creaseWord, whereWord string
}
