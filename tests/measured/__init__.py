"""What benchmarks and tortures measured: kept as files, run as parts, told in the papers."""
