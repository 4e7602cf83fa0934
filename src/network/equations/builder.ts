import { IndexList } from "../../numerics/index-list.js";

/** Where points and branches are gathered before the equations are made. */
export class EquationsBuilder {
  readonly from: IndexList;
  readonly to: IndexList;
  /** By point: 1 where its pressure is given. */
  readonly pointFixed: IndexList;
  readonly frictionBranch: IndexList;
  readonly powerBranch: IndexList = new IndexList();
  readonly reynoldsBranch: IndexList = new IndexList();
  readonly fanBranch: IndexList = new IndexList();
  readonly teeBranch: IndexList = new IndexList();
  readonly openingBranch: IndexList = new IndexList();
  readonly controlledFan: IndexList = new IndexList();

  /** @param expected - How many points and branches there will probably be. */
  constructor(expected: { readonly points: number; readonly branches: number }) {
    this.pointFixed = new IndexList(expected.points);
    this.from = new IndexList(expected.branches);
    this.to = new IndexList(expected.branches);
    this.frictionBranch = new IndexList(expected.branches);
  }

  /** Adds a point of the network; a fixed one has a given pressure. */
  point(fixed: boolean): number {
    return this.pointFixed.push(fixed ? 1 : 0);
  }

  /** Adds a branch between two points. */
  branch(from: number, to: number): number {
    this.from.push(from);
    return this.to.push(to);
  }

  /** Adds a friction term to a branch. */
  friction(branch: number): number {
    return this.frictionBranch.push(branch);
  }

  /** Adds a power-law term to a branch. */
  power(branch: number): number {
    return this.powerBranch.push(branch);
  }

  /** Adds a term of a coefficient that varies with the Reynolds number to a branch. */
  reynoldsDependent(branch: number): number {
    return this.reynoldsBranch.push(branch);
  }

  /** Adds a fan term to a branch. */
  fan(branch: number): number {
    return this.fanBranch.push(branch);
  }

  /** Adds a controller of a fan term. */
  control(fan: number): number {
    return this.controlledFan.push(fan);
  }

  /** Adds a tee term to the branches from its legs a and b to its branch leg. */
  tee(a: number, b: number): number {
    this.teeBranch.push(a);
    return (this.teeBranch.push(b) - 1) / 2;
  }

  /** Adds an opening term to a branch. */
  opening(branch: number): number {
    return this.openingBranch.push(branch);
  }
}
