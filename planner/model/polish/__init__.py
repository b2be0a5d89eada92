"""Improving a valid plan by large neighbourhoods: free a few things, fix the rest, solve that exactly, keep the gain.

A sub-model holds every rule that the freed things meet and the whole cost, so its objective equals the checker's
reckoning; what it leaves out are only moves (a fixed thing stays where it is).
"""
