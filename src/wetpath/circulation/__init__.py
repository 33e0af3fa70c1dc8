"""The internal circulation: branches, stations, flows, temperatures, margins."""
