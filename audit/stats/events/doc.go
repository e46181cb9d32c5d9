// Package events counts what happens in time while some histories are still open:
// the share of cases with a first event where other endings compete, and the mean
// number of events that recur.
//
// Place in the pipeline: a family of audit/stats. Times are in one unit from each
// case's own start (months from the start of treatment).
//
//	estimator              source                                     reference                      called by
//	Incidence              Aalen & Johansen 1978                      R survival, cmprsk, etm        followup: share refined by a horizon
//	IncidenceDifference    the same, infinitesimal jackknife          R survival, influences added   nothing: reference of MeanCountDifference
//	MeanCount              Nelson 1995; Lawless & Nadeau 1995;        R survival: valve seats of     followup, intime: refinements a case
//	                       Ghosh & Lin 2000 where endings are final   Nelson, two trials
//	MeanCountDifference    the same                                   by its own arms, simulation    intime: cases refined, then and now
package events
