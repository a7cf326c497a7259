/**
 * ms; how long tests wait for what must come. It is for a machine that others use, or that is slow, and says nothing about
 * how fast something should be: that is for the bench.
 */
export const patience = 300_000
