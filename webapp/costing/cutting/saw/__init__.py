"""In which order a plan is sawn, with which settings of the fence, and what that costs. Moves no piece."""
