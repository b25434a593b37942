"""What the numbers say to do next: charging, circuits, wiring and labels."""
