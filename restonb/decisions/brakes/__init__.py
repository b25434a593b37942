"""What the numbers say to do next: discs, drums, hydraulics and the check before the road."""
