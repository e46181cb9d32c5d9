// Package prop estimates shares: of cases, of movements within cases, and counts.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator            source                                           reference                      called by
//	ClusteredProportion  Wilson on an effective number; Rao & Scott 1992  R survey, litters, simulation  ProportionOfCases, of every movement
//	ProportionOfCases    the same, of counts of cases                     ClusteredProportion            measure: shares within cases
//	Wilson               Wilson 1927                                      Newcombe's tables              measure, cycle: shares of cases
//	ShareDifference      Newcombe 1998, method 10; Fisher 1935            R prop.test, fisher.test       intime: cases refined, then and now
//	Garwood              Garwood 1936                                     his table                      losses: counts
package prop
