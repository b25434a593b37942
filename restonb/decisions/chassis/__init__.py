"""What the numbers say to do next: wheels."""
