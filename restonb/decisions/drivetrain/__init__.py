"""What the numbers say to do next: gears, clutch, chain and primary drive."""
