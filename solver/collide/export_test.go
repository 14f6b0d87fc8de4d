package collide

// Street is a spread on which nothing meets, for benchmarks of both packages.
var Street = street
