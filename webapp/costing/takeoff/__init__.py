"""The parts, joints, surfaces and welds of one design at its sizes. Knows no price and no other item."""
