/** The numbers of a solved network, by point and by branch. */
export interface Answer {
  /** By point [Pa] */
  readonly pressure: Float64Array;
  /** By branch [kg/s] */
  readonly massFlow: Float64Array;
  /** By controller: the speed of its fan, relative to its curve's [-] */
  readonly speed: Float64Array;
}
