// Package sampledata invents a practice: its cases, courses, movements and
// repeats, together with the truth they were made from.
//
// Place in the pipeline: before it. Generate makes a casebook.Dataset that the
// tests of every other package can audit against known parameters; the command
// in sampledata/make writes the files beside this one. The package imports
// casebook and nothing else of the project.
//
// No patient, clinician or practice behind these figures exists. The practice
// code MOONQUAY, the clinicians and every number are invented; expression is
// placed where published studies of clear aligners put it (about half of the
// plan overall, rotation and extrusion lowest: Kravitz and others, Am J Orthod
// Dentofacial Orthop 2009;135:27-35; Haouili and others, same journal
// 2020;158:420-425), but nothing is copied from any study.
//
// # Model
//
// One movement of planned amount P (signed, mm or degrees) in one course:
//
//	achieved = P * (mean + u + v) + end - start
//	mean     = base[direction, tooth class]
//	         + style[direction, style]            (0 for software-suggested)
//	         + slope[unit] * (|P| - centre[unit])
//	         + clinician + wear + age + staging + lost + refinement
//	u        ~ N(0, CaseSD)       one draw a case: the clustering
//	v        ~ N(0, MovementSD)   one draw a movement and course
//	end      ~ N(0, noise[unit] / sqrt 2)   scan error; the start of a course
//	                                        is the end of the course before
//
// A refinement plans what the course before left over, as measured, so its
// plans carry chance and scan error of that course: regression to the mean is
// built in. Style depends on planned amount, tooth class and clinician, never
// on u, v or scan error: given those covariates a comparison of styles is
// unconfounded, and without them it is not.
package sampledata

//go:generate go run ./make
