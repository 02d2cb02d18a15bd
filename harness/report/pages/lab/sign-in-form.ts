import { type Html, html } from '../../html/html.ts';
import { refusal } from '../archive/refusal.ts';

/** Asks for the token of a person; `refused`: why the last one was not taken. */
export function signInForm(refused: string | null): Html {
  return html`
    ${refused !== null && refusal(refused)}
    <form class="sign" method="post" action="/sign-in">
      <label>
        Your token of this lab
        <input type="password" name="token" autocomplete="off" required>
      </label>
      <p class="press-line"><button class="press">Sign in</button> An administrator of the lab gives tokens out.</p>
    </form>`;
}

export function signOutForm(name: string): Html {
  return html`
    <form method="post" action="/sign-out">
      <p class="press-line">Signed in as ${name}. <button class="press">Sign out</button></p>
    </form>`;
}
