matrix {
  looks    = [4, 6] # ERROR Looks beside launches
  launches = 2
}
